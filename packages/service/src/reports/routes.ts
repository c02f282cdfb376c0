/** `/v1/tests/{id}/report`: the answer to hand to a grower, as a page or as plain text. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import type { TestReader } from '../field-tests/load.ts'
import { acceptedForm } from '../http/accept.ts'
import { uuidOf } from '../http/ids.ts'
import { PAGE_POLICY } from '../render/page-style.ts'
import { reportPage } from './page.ts'
import { reportOf } from './report.ts'
import { reportText } from './text.ts'

const FORMS = { 'text/html': reportPage, 'text/plain': reportText } as const
const whole = (description: string) => ({
  schema: Type.Unsafe<Buffer>({ type: 'string', maxLength: 2 ** 24, description }),
})

export const reportRoutes: FastifyPluginAsyncTypebox<Deps & { readonly tests: TestReader }> = async (
  app,
  { tests, config },
) => {
  app.get(
    '/v1/tests/:testId/report',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor'], scope: 'tests:read' },
        readLog: { of: 'test' },
        problems: ['conflict', 'not-acceptable'],
      },
      schema: {
        operationId: 'tests.report',
        tags: ['Tests'],
        summary: 'Read the report of a test',
        description:
          'The answer in plain words first, then results with their intervals, findings, readings and cautions; as ' +
          'HTML, or as plain text where Accept prefers it. It holds no name and no free text.',
        params: Type.Object({ testId: Type.String({ maxLength: 60, description: 'Id of the test.' }) }),
        response: {
          200: {
            description: 'The report.',
            content: { 'text/html': whole('One page, complete.'), 'text/plain': whole('The same as text.') },
          },
        },
      },
    },
    async ({ params: { testId }, principal, headers }, reply) => {
      const form = acceptedForm(headers.accept, ['text/html', 'text/plain'])
      const bytes = await tests.answer(principal, uuidOf('test', testId), `report/${form}`, (test) =>
        FORMS[form](reportOf(test, config.publicUrl)),
      )
      if (form === 'text/html') reply.header('content-security-policy', PAGE_POLICY)
      return reply.type(`${form}; charset=utf-8`).send(bytes)
    },
  )
}
