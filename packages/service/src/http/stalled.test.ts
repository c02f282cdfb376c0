/** Readers that take nothing of an answer, on real sockets and with a short patience. */
import { once } from 'node:events'
import { connect } from 'node:net'
import { Readable } from 'node:stream'
import { fastify } from 'fastify'
import { expect, onTestFinished, test } from 'vitest'
import { registerStalled } from './stalled.ts'

async function serve() {
  const app = fastify()
  onTestFinished(() => app.close())
  registerStalled(app, 100)
  let closed!: (finished: boolean) => void
  const end = new Promise<boolean>((resolve) => {
    closed = resolve
  })
  // More than any socket takes in unread.
  app.get('/much', (_request, reply) => {
    reply.raw.once('close', () => closed(reply.raw.writableFinished))
    const piece = Buffer.alloc(1024 * 1024)
    return reply.send(Readable.from(Array.from({ length: 64 }, () => piece)))
  })
  const url = new URL(await app.listen({ host: '127.0.0.1', port: 0 }))
  return { url, end }
}

test('an answer that is not read is cut off', async () => {
  const { url, end } = await serve()
  const socket = connect(Number(url.port), url.hostname)
  onTestFinished(() => void socket.destroy())
  socket.on('error', () => undefined)
  socket.write('GET /much HTTP/1.1\r\nhost: x\r\n\r\n')
  await once(socket, 'readable')
  expect(await end).toBe(false)
})

test('an answer that is read is whole', async () => {
  const { url, end } = await serve()
  const { byteLength } = await (await fetch(new URL('/much', url))).arrayBuffer()
  expect(byteLength).toBe(64 * 1024 * 1024)
  expect(await end).toBe(true)
})
