import { Match, Show, Switch } from 'solid-js';
import { check } from '../../setup';
import { settingUp, setUpAt } from '../../state';
import { CheckAsk } from './CheckAsk';
import { CheckFound } from './CheckFound';
import { SetUpLights } from './SetUpLights';

/** What comes next is read from its beginning. */
export function toTop(): void {
  const column = document.querySelector('.column');
  if (column) column.scrollTop = 0;
}

/** Setting up at the venue: light after light what is to be done, then the line check. */
export function SetUp() {
  return (
    <Show when={settingUp()} fallback={<p class="saying soft">What is to be done is on its way.</p>}>
      <Switch fallback={<SetUpLights />}>
        <Match when={setUpAt() === 'check' && check()?.question}>
          <CheckAsk />
        </Match>
        <Match when={setUpAt() === 'check' && check()}>
          <CheckFound />
        </Match>
      </Switch>
    </Show>
  );
}
