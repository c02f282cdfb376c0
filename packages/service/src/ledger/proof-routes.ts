/** `/v1/ledger/proofs`: what the tiles would give too, ready made, for people with curl. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { consistencyProof, inclusionProof, rootAt, toHex } from '@liftledger/ledger'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Problem } from '../http/problem.ts'
import { ConsistencyProof, Count, InclusionProof } from './schemas.ts'
import { newestCheckpoint, treeReader } from './stored-tree.ts'

const OPEN = {
  access: 'public',
  problems: ['not-found', 'conflict', 'database-unavailable', 'timeout'],
} as const

/** `what` is how the message calls the greatest size that was asked for. */
function insistOnSize(size: number, covered: number): void {
  if (size <= covered) return
  throw new Problem('not-found', `The newest checkpoint covers ${covered} entries; asked for is a tree of ${size}.`)
}

export const proofRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases }) => {
  const pool = databases.ledgerReads
  const covered = async (): Promise<number> => (await newestCheckpoint(pool))?.size ?? 0

  app.get(
    '/v1/ledger/proofs/inclusion',
    {
      config: OPEN,
      schema: {
        operationId: 'ledger.inclusion',
        tags: ['Ledger'],
        summary: 'Prove that an entry is in the tree',
        description: 'Hashes that lead from the leaf of the entry to the root of the tree.',
        querystring: Type.Object(
          {
            index: Count('Place of the entry, as `ledgerIndex` of a test says.'),
            size: Type.Optional(Count('Entries in the tree; those of the newest checkpoint if absent.')),
          },
          { additionalProperties: false },
        ),
        response: { 200: InclusionProof },
      },
    },
    async ({ query }) => {
      const newest = await covered()
      const { index, size = newest } = query
      insistOnSize(size, newest)
      if (index >= size) throw new Problem('not-found', `A tree of ${size} entries has no entry ${index}.`)
      const { leaf, root, proof } = await treeReader(pool, size).read((read) => ({
        leaf: read(0, index),
        root: rootAt(size, read),
        proof: inclusionProof(index, size, read),
      }))
      return {
        index,
        size,
        leafHash: toHex(leaf),
        root: toHex(root),
        proof: proof.map(toHex),
        links: { checkpoint: `/v1/ledger/checkpoint?size=${size}` },
      }
    },
  )

  app.get(
    '/v1/ledger/proofs/consistency',
    {
      config: OPEN,
      schema: {
        operationId: 'ledger.consistency',
        tags: ['Ledger'],
        summary: 'Prove that a later tree continues an earlier one',
        description: 'Hashes by which both roots can be made: nothing was changed or taken out between the two.',
        querystring: Type.Object(
          {
            from: Type.Integer({
              minimum: 1,
              maximum: Number.MAX_SAFE_INTEGER,
              description: 'Entries in the earlier tree, as a checkpoint says that you kept.',
            }),
            to: Type.Optional(Count('Entries in the later tree; those of the newest checkpoint if absent.')),
          },
          { additionalProperties: false },
        ),
        response: { 200: ConsistencyProof },
      },
    },
    async ({ query }) => {
      const newest = await covered()
      const { from, to = newest } = query
      insistOnSize(to, newest)
      if (from > to) throw new Problem('not-found', `A tree of ${to} entries continues none of ${from}.`)
      const { roots, proof } = await treeReader(pool, to).read((read) => ({
        roots: [rootAt(from, read), rootAt(to, read)] as const,
        proof: consistencyProof(from, to, read),
      }))
      return { from, to, fromRoot: toHex(roots[0]), toRoot: toHex(roots[1]), proof: proof.map(toHex) }
    },
  )
}
