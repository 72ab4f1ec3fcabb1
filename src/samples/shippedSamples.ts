import { laterSamples } from './laterSamples.ts';
import { type NamedSample, namedSamples } from './namedSamples.ts';
import { variantSamples } from './variantSamples.ts';

/** Every sample shipped in sample-meshes/, in the order of its index. */
export const shippedSamples: readonly NamedSample[] = [...namedSamples, ...laterSamples, ...variantSamples];
