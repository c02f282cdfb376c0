/** Proofs, good and spoiled, of the repository transparency-dev/merkle, testdata/inclusion and testdata/consistency. */
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { sha256 } from '#sha256'
import { fromBase64 } from '../bytes.ts'
import { VerificationError } from '../errors.ts'
import { verifyConsistency, verifyInclusion } from '../merkle.ts'
import { referenceTree } from './reference-tree.ts'
import { type VectorCase, type VectorSuite, vectorFolder } from './suite.ts'

interface InclusionVector {
  readonly leafIdx: number
  readonly treeSize: number
  readonly root: string
  readonly leafHash: string
  readonly proof: readonly string[] | null
  readonly wantErr: boolean
}

interface ConsistencyVector {
  readonly size1: number
  readonly size2: number
  readonly root1: string
  readonly root2: string
  readonly proof: readonly string[] | null
  readonly wantErr: boolean
}

/**
 * The bytes of a hash. Some files say `dont care` in place of one: there the hash of that text stands in, so that two
 * the same stay the same and the case is about what its name says, not about a length that we refuse anyway.
 */
function hashOf(base64: string): Uint8Array {
  const bytes = fromBase64(base64)
  if (bytes === undefined) throw new Error(`'${base64}' is not base 64`)
  return String.fromCharCode(...bytes).startsWith("don't care") ? sha256(bytes) : bytes
}

function expectOutcome(wantErr: boolean, verify: () => void): void {
  let refused: unknown
  try {
    verify()
  } catch (error) {
    // Anything else than a refusal is a fault of ours, and fails the case.
    if (!(error instanceof VerificationError)) throw error
    refused = error
  }
  if (wantErr && refused === undefined) throw new Error('a spoiled proof was accepted')
  if (!wantErr && refused !== undefined) throw refused
}

function checkInclusion(vector: InclusionVector): void {
  const { leafIdx: index, treeSize: size, wantErr } = vector
  const [leafHash, root] = [hashOf(vector.leafHash), hashOf(vector.root)]
  const proof = (vector.proof ?? []).map(hashOf)
  expectOutcome(wantErr, () => verifyInclusion({ leafHash, index, size, proof, root }))
}

function checkConsistency(vector: ConsistencyVector): void {
  const { size1: oldSize, size2: newSize, wantErr } = vector
  const [oldRoot, newRoot] = [hashOf(vector.root1), hashOf(vector.root2)]
  const proof = (vector.proof ?? []).map(hashOf)
  expectOutcome(wantErr, () => verifyConsistency({ oldSize, oldRoot, newSize, newRoot, proof }))
}

function filesIn(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.json'))
    .sort()
}

function published(folder: string): VectorCase[] {
  const read = (path: string): unknown => JSON.parse(readFileSync(path, 'utf8'))
  const [inclusion, consistency] = [join(folder, 'testdata/inclusion'), join(folder, 'testdata/consistency')]
  return [
    ...filesIn(inclusion).map((name) => ({
      name: `inclusion/${name}`,
      check: () => checkInclusion(read(join(inclusion, name)) as InclusionVector),
    })),
    ...filesIn(consistency).map((name) => ({
      name: `consistency/${name}`,
      check: () => checkConsistency(read(join(consistency, name)) as ConsistencyVector),
    })),
  ]
}

const folder = vectorFolder('rfc6962-proofs')

export const merkleSuite: VectorSuite =
  folder === undefined
    ? {
        id: 'vectors.merkle',
        source: 'transparency-dev/merkle, reference tree (RFC 6962, 2.1)',
        full: false,
        cases: referenceTree,
      }
    : {
        id: 'vectors.merkle',
        source: 'transparency-dev/merkle, inclusion and consistency proofs (RFC 6962, 2.1)',
        full: true,
        cases: published(folder),
      }

export const referenceTreeSuite: VectorSuite = {
  id: 'vectors.reference-tree',
  source: 'transparency-dev/merkle, reference tree (RFC 6962, 2.1)',
  full: true,
  cases: referenceTree,
}
