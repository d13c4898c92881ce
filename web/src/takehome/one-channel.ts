// Of two channels the sum has less power than this share of the difference: a balanced line on two
// channels, one of them turned over. Their sum would be next to nothing. As in the desk's decoder.
const opposedBelow = 0.1;

/// One channel of several: their mean, or half the difference of two that are opposed.
export function oneChannel(channels: readonly Float32Array[]): Float32Array {
  const first = channels[0] ?? new Float32Array();
  const second = channels.length === 2 ? channels[1] : undefined;
  const sign = second !== undefined && areOpposed(first, second) ? -1 : 1;
  const samples = new Float32Array(first.length);
  channels.forEach((channel, c) => {
    const share = (c === 0 ? 1 : sign) / channels.length;
    for (let i = 0; i < samples.length; ++i) {
      samples[i] = (samples[i] ?? 0) + share * (channel[i] ?? 0);
    }
  });
  return samples;
}

function areOpposed(left: Float32Array, right: Float32Array): boolean {
  let sum = 0;
  let difference = 0;
  for (let i = 0; i < left.length; ++i) {
    const l = left[i] ?? 0;
    const r = right[i] ?? 0;
    sum += (l + r) ** 2;
    difference += (l - r) ** 2;
  }
  return sum < opposedBelow * difference;
}
