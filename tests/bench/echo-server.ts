/**
 * The baseline of `read.vs-echo` and `trace.vs-echo`: a bare handler that answers a small object with what it was sent.
 *
 * No key, no database, no log, no schema: what is left is what HTTP and the framework cost.
 */
import { fastify } from 'fastify'

const app = fastify()
app.get<{ Params: { said: string } }>('/echo/:said', async (request) => ({ said: request.params.said }))
process.send!({ url: await app.listen({ host: '127.0.0.1', port: 0 }) })
process.on('disconnect', () => process.exit(0))
