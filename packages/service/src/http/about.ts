/** The API about itself: its description for programs, and a page for people behind the `type` of each problem. */
import type { FastifyInstance } from 'fastify'
import { CATALOGUE, notFound, PROBLEM_CODES, type ProblemCode } from './problem.ts'

export function registerAbout(app: FastifyInstance): void {
  // As the routes have it. The examples come from a run on a scratch service, which none that is asked can make: they
  // stand in openapi/liftledger.json of the release, beside the same description.
  app.get('/openapi.json', { config: { access: 'public' }, schema: { hide: true } }, async () => app.apiDocument())

  app.get('/problems/:code', { config: { access: 'public' }, schema: { hide: true } }, async (request, reply) => {
    const { code } = request.params as { code: string }
    if (!(PROBLEM_CODES as string[]).includes(code)) throw notFound('problem', code)
    return reply.type('text/html; charset=utf-8').send(page(code as ProblemCode))
  })
}

/** Everything on it comes from the catalogue, so there is nothing to escape but what the catalogue says. */
function page(code: ProblemCode): string {
  const { status, title, remedy } = CATALOGUE[code]
  return `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>${title}</title>
<h1>${title}</h1>
<p><code>${code}</code>, HTTP status ${status}</p>
<p>${remedy}</p>
</html>
`
}
