/** `/v1/tests/{id}/sheet` and `/context`: what an evaluation rests on, byte for byte as it was hashed. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Context, Sheet } from '@liftledger/calc'
import type { FastifyReply } from 'fastify'
import { uuidOf } from '../http/ids.ts'
import type { TestReader } from './load.ts'
import { TestParams } from './schemas.ts'

const READERS = {
  access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
  readLog: { of: 'test' },
  problems: ['conflict'],
  // Neither is ever changed.
  immutable: true,
} as const

/** Bytes with their hash (RFC 9530), and where to read on (RFC 8288, relations of the registry of link relations). */
function sendRecorded(reply: FastifyReply, bytes: Buffer, hash: Buffer, links: Readonly<Record<string, string>>) {
  const link = Object.entries(links).map(([relation, path]) => `<${path}>; rel="${relation}"`)
  return reply
    .type('application/json')
    .header('repr-digest', `sha-256=:${hash.toString('base64')}:`)
    .header('link', link.join(', '))
    .send(bytes)
}

export const recordedRoutes: FastifyPluginAsyncTypebox<{ tests: TestReader }> = async (app, { tests }) => {
  app.get(
    '/v1/tests/:testId/sheet',
    {
      config: READERS,
      // What is hashed is what is sent.
      compress: false,
      schema: {
        operationId: 'tests.sheet',
        tags: ['Tests'],
        summary: 'Read the sheet as it was received',
        description:
          'Byte for byte: its SHA-256 is `rawSha256` of the test, and stands in `Repr-Digest`. JSON Pointers of traces ' +
          'and findings lead into it. `Link` names the context it was evaluated with (`describedby`) and the versions ' +
          'of the test (`version-history`).',
        params: TestParams,
        response: { 200: Sheet },
      },
    },
    async ({ params: { testId }, principal }, reply) => {
      const { raw, rawSha256 } = await tests.stored(principal, uuidOf('test', testId))
      const self = `/v1/tests/${testId}`
      return sendRecorded(reply, raw, rawSha256, {
        describedby: `${self}/context`,
        'version-history': `${self}/versions`,
        up: self,
      })
    },
  )

  app.get(
    '/v1/tests/:testId/context',
    {
      config: READERS,
      compress: false,
      schema: {
        operationId: 'tests.context',
        tags: ['Tests'],
        summary: 'Read the context of a test as it was recorded',
        description:
          'Certificates of the instruments, equipment of the plant and qualification of the tester as they stood when ' +
          'the test was submitted: canonical JSON (RFC 8785), whose SHA-256 is `contextSha256` of the test and stands in ' +
          '`Repr-Digest`. `Link` names the versions of the test, with who submitted each (`version-history`).',
        params: TestParams,
        response: { 200: Context },
      },
    },
    async ({ params: { testId }, principal }, reply) => {
      const { context, contextSha256 } = await tests.stored(principal, uuidOf('test', testId))
      const self = `/v1/tests/${testId}`
      return sendRecorded(reply, context, contextSha256, { 'version-history': `${self}/versions`, up: self })
    },
  )
}
