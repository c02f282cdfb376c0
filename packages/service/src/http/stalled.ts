/**
 * Responses that nobody reads: where the reader takes nothing for a while, the connection is cut, and with it goes
 * whatever the response still holds.
 */
import { Socket } from 'node:net'
import type { FastifyInstance } from 'fastify'

/** A reader with the poorest link takes something within it. */
export const STALLED_MS = 30_000

/** From the beginning of an answer on; how long the work before it may take is bounded elsewhere. */
export function registerStalled(app: FastifyInstance, stalledMs = STALLED_MS): void {
  app.addHook('onSend', (_request, reply, payload, done) => {
    const { socket } = reply.raw
    // Node sets its own time again when the answer is through. Nobody listens for the event, so that it ends the socket.
    if (socket instanceof Socket) socket.setTimeout(stalledMs)
    done(null, payload)
  })
}
