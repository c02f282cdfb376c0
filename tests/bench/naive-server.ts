/** The baseline of `submit.vs-naive-insert`: a bare handler that stores the body it was sent, and nothing else. */
import { randomUUID } from 'node:crypto'
import { fastify } from 'fastify'
import pg from 'pg'

const [url, connections] = process.argv.slice(2)
const pool = new pg.Pool({ connectionString: url!, max: Number(connections) })
await pool.query('create table if not exists public.naive (id uuid primary key, body json not null)')
const app = fastify()
app.post('/naive', async (request, reply) => {
  await pool.query({
    name: 'insert',
    text: 'insert into public.naive (id, body) values ($1, $2)',
    values: [randomUUID(), JSON.stringify(request.body)],
  })
  return reply.code(201).send({ stored: true })
})
process.send!({ url: await app.listen({ host: '127.0.0.1', port: 0 }) })
process.on('disconnect', () => process.exit(0))
