import type { GeometryClient } from '../../../workers/client.ts';
import { partOfPage } from './partOfPage.ts';

/** A scan file as the page holds on to it: the bytes stay on disk until somebody asks for them. */
export interface ScanFile {
  readonly name: string;
  readonly blob: Blob;
}

/** Scan files seen in this session, by SHA-256, so that they can be stored beside the case and read again. */
export const scanFiles = new Map<string, ScanFile>();

/** What the worker reads: a file by itself, other bytes as a copy it consumes. */
export const sourceOf = async ({ blob }: ScanFile): Promise<File | ArrayBuffer> =>
  blob instanceof File ? blob : await blob.arrayBuffer();

let client: GeometryClient | null = null;

/** The geometry worker's client; brought in when the first scan is opened. */
export async function geometry(): Promise<GeometryClient> {
  const { GeometryClient: Client } = await partOfPage(import('../../../workers/client.ts'));
  client ??= new Client();
  return client;
}
