// Runs where the browser makes sound: hands each block of the input on as it is, mono, with its place in the stream, to the port
// that it was given. Nothing of the page can hold it up.
declare const currentFrame: number;
declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, processor: new () => AudioWorkletProcessor): void;

/** Frames that leave together: about ten milliseconds. */
const BLOCK = 512;
/** Bytes of the count before the samples. */
const COUNT = 8;

class Ears extends AudioWorkletProcessor {
  #to: MessagePort | null = null;
  #block = new Int16Array(BLOCK);
  #filled = 0;
  #first = 0;

  constructor() {
    super();
    this.port.onmessage = (event: MessageEvent<MessagePort>) => (this.#to = event.data);
  }

  process(inputs: Float32Array[][]): boolean {
    const channels = inputs[0] ?? [];
    const length = channels[0]?.length ?? 0;
    for (let at = 0; at < length; at += 1) {
      if (this.#filled === 0) this.#first = currentFrame + at;
      let sum = 0;
      for (const channel of channels) sum += channel[at] ?? 0;
      const sample = sum / channels.length;
      this.#block[this.#filled] = Math.max(-32768, Math.min(32767, Math.round(sample * 32768)));
      this.#filled += 1;
      if (this.#filled === BLOCK) this.#send();
    }
    return true;
  }

  #send(): void {
    const message = new ArrayBuffer(COUNT + BLOCK * 2);
    const view = new DataView(message);
    view.setBigUint64(0, BigInt(this.#first), true);
    this.#block.forEach((sample, at) => view.setInt16(COUNT + at * 2, sample, true));
    this.#filled = 0;
    this.#to?.postMessage(message, [message]);
  }
}

registerProcessor('lanthorn-ears', Ears);
