// What the tests of music share: a sheet on which sounds are struck and written as a WAV file, and a show of four pars to hear them.

/** A show's first part: a hall with four RGB pars on a bar, at the tempo that is set before any music. */
export const FOUR_PARS = `lanthorn = 1

[show]
name = "dance"
tempo = 90

[room]
name = "hall"
x = [-5, 5]
y = [-8, 4]
height = "4 m"

[[room.place]]
name = "bar"
kind = "bar"
middle = [0, 0, 3.5]
length = "6 m"

${[1, 2, 3, 4].map((number) => `[[unit]]\nnumber = ${number}\nprofile = "RGB par"\nplace = "bar"\nat = ${number - 2.5}\naddress = "1.${number * 10}"\n`).join('\n')}
`;

/**
 * So many seconds of silence at a rate, on which voices are struck: a voice gives a sample for each second since it began.
 * `noise` is the same in every run.
 */
export function sheet(secs, rate) {
  const count = Math.round(secs * rate);
  const samples = new Float32Array(count);
  let seed = 1;
  const noise = () => ((seed = (seed * 1_103_515_245 + 12_345) & 0x7fffffff) / 0x3fffffff) - 1;
  const strike = (at, length, voice) => {
    const first = Math.round(at * rate);
    for (let n = 0; n < length * rate && first + n < count; n += 1) samples[first + n] += voice(n / rate);
  };
  return {
    strike,
    kick: (at) => strike(at, 0.25, (t) => 0.8 * Math.exp(-t * 18) * Math.sin(2 * Math.PI * (50 * t + 8 * (1 - Math.exp(-t * 40))))),
    snare: (at) => strike(at, 0.18, (t) => Math.exp(-t * 26) * (0.3 * noise() + 0.25 * Math.sin(2 * Math.PI * 190 * t))),
    hat: (at, loud) => strike(at, 0.05, (t) => loud * Math.exp(-t * 90) * noise()),
    wav: () => wav(samples, rate),
  };
}

/** One channel of 16 bit, at seven tenths. */
function wav(samples, rate) {
  const size = samples.length * 2;
  const bytes = Buffer.alloc(44 + size);
  bytes.write('RIFF', 0);
  bytes.writeUInt32LE(36 + size, 4);
  bytes.write('WAVEfmt ', 8);
  bytes.writeUInt32LE(16, 16);
  bytes.writeUInt16LE(1, 20);
  bytes.writeUInt16LE(1, 22);
  bytes.writeUInt32LE(rate, 24);
  bytes.writeUInt32LE(rate * 2, 28);
  bytes.writeUInt16LE(2, 32);
  bytes.writeUInt16LE(16, 34);
  bytes.write('data', 36);
  bytes.writeUInt32LE(size, 40);
  samples.forEach((sample, n) => bytes.writeInt16LE(Math.round(Math.max(-1, Math.min(1, 0.7 * sample)) * 32767), 44 + n * 2));
  return bytes;
}
