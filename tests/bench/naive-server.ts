/**
 * The baseline of `submit.vs-naive-insert`: a bare handler that stores the body it was sent, and nothing else.
 *
 * Written to be fast: the text goes through as it came, the statement is prepared, the key is a counter, no log.
 */
import { fastify } from 'fastify'
import pg from 'pg'

const [url, connections] = process.argv.slice(2)
const pool = new pg.Pool({ connectionString: url!, max: Number(connections) })
await pool.query(
  `create table if not exists public.naive_${connections} (id bigint generated always as identity primary key, body json not null)`,
)
const insert = { name: 'insert', text: `insert into public.naive_${connections} (body) values ($1)` }
const app = fastify()
app.removeAllContentTypeParsers()
app.addContentTypeParser('application/json', { parseAs: 'string' }, (_request, body, done) => done(null, body))
app.post('/naive', async (request, reply) => {
  await pool.query({ ...insert, values: [request.body] })
  return reply.code(201).send({ stored: true })
})
process.send!({ url: await app.listen({ host: '127.0.0.1', port: 0 }) })
process.on('disconnect', () => process.exit(0))
