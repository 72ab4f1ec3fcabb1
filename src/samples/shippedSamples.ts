import { laterSamples } from './laterSamples.ts';
import { type NamedSample, namedSamples } from './namedSamples.ts';

/** Every sample shipped in sample-meshes/, in the order of its index. */
export const shippedSamples: readonly NamedSample[] = [...namedSamples, ...laterSamples];
