import { Editor } from './Opens';
import { Typed } from './Typed';

/** A name: up to 60 letters, on one line. */
export function NameEditor(props: { key: string; name: string; label?: string; take: (to: string, answer: (done: boolean) => void) => void }) {
  return (
    <Editor label={props.label ?? 'Name'} class="name-editor">
      <Typed key={props.key} label={props.label ?? 'name'} value={props.name} wide first shuts silent take={props.take} />
    </Editor>
  );
}
