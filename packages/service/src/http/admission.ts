/**
 * Admission: what can't be done in time is refused before its body is read, so that what was admitted ends well.
 *
 * Who asks without a key has a share of what is under way, and no more.
 *
 * Three signs of too much: sheets under way at once, the delay of the event loop, and the age of the queue, which
 * is the least time any sheet of the last second spent between its arrival and its answer. Even the fastest one
 * waited: then there is a standing queue, while one slow sheet alone says nothing.
 */
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { Problem } from './problem.ts'

/** Zero switches a sign off. */
export interface Limits {
  readonly inFlightMax: number
  readonly eventLoopDelayMsMax: number
  readonly queueAgeMsMax: number
}

declare module 'fastify' {
  interface FastifyContextConfig {
    /** The operation takes a sheet, which is evaluated and mostly stored: so many at once, and no more. */
    sheet?: true
  }
  interface FastifyInstance {
    admission: { readonly inFlight: number; readonly queueAgeMs: number }
  }
}

const WINDOW_MS = 1_000
/** Requests without a key under way at once: more of them would only wait for each other. */
const STRANGERS_MAX = 64
/** Fewer sheets in a second are no crowd, however long they took. */
const CROWD = 8

export function registerAdmission(app: FastifyInstance, limits: Limits, eventLoop: { readonly p99Ms: number }): void {
  const queue = new QueueAge()
  let inFlight = 0
  let strangers = 0
  app.decorate('admission', {
    get inFlight() {
      return inFlight
    },
    get queueAgeMs() {
      return queue.ageMs(performance.now())
    },
  })
  const arrivals = new WeakMap<FastifyRequest, number>()

  app.addHook('onRequest', (request, reply, done) => {
    admit(request, reply)
    done()
  })
  const admit = (request: FastifyRequest, reply: FastifyReply): void => {
    if (isStranger(request)) {
      if (strangers >= STRANGERS_MAX) throw overloaded()
      strangers += 1
      reply.raw.once('close', () => {
        strangers -= 1
      })
      return
    }
    if (!canWait(request)) return
    if (limits.eventLoopDelayMsMax > 0 && eventLoop.p99Ms > limits.eventLoopDelayMsMax) throw overloaded()
    if (!takesSheet(request)) return
    if (limits.inFlightMax > 0 && inFlight >= limits.inFlightMax) throw overloaded()
    if (limits.queueAgeMsMax > 0 && queue.ageMs(performance.now()) > limits.queueAgeMsMax) throw overloaded()
    inFlight += 1
    // Comes in any case, also when the caller goes away.
    reply.raw.once('close', () => {
      inFlight -= 1
    })
  }
  // Here the body has arrived: how long a slow sender took is not our queue.
  app.addHook('preValidation', (request, _reply, done) => {
    if (takesSheet(request)) arrivals.set(request, performance.now())
    done()
  })
  app.addHook('onResponse', (request, _reply, done) => {
    const at = arrivals.get(request)
    if (at !== undefined) queue.left(performance.now(), performance.now() - at)
    done()
  })
}

/** Not health, which must be told in any case, and not what ends a key: that matters most when there is too much. */
function canWait({ routeOptions: { config } }: FastifyRequest): boolean {
  const { access } = config
  return access !== undefined && access !== 'public' && access.roles.some((role) => role !== 'admin')
}

function isStranger({ is404, routeOptions: { config } }: FastifyRequest): boolean {
  return !is404 && config.access === 'public' && config.probe !== true
}

function takesSheet({ routeOptions: { config } }: FastifyRequest): boolean {
  return config.sheet === true
}

function overloaded(): Problem {
  return new Problem('overloaded', 'More is waiting than can be answered in time; nothing was stored.', {
    retryAfterS: 1,
  })
}

/** The least time spent, over the last whole window. */
export class QueueAge {
  #window = { startMs: 0, count: 0, leastMs: 0 }
  #lastMs = 0

  /** One left the queue at `nowMs` after `spentMs`. */
  left(nowMs: number, spentMs: number): void {
    this.#turn(nowMs)
    const window = this.#window
    window.leastMs = window.count === 0 ? spentMs : Math.min(window.leastMs, spentMs)
    window.count += 1
  }

  ageMs(nowMs: number): number {
    this.#turn(nowMs)
    return this.#lastMs
  }

  #turn(nowMs: number): void {
    const { startMs, count, leastMs } = this.#window
    const elapsedMs = nowMs - startMs
    if (elapsedMs < WINDOW_MS) return
    // A window that nobody looked at for another one says nothing of now.
    this.#lastMs = count >= CROWD && elapsedMs < 2 * WINDOW_MS ? leastMs : 0
    this.#window = { startMs: nowMs, count: 0, leastMs: 0 }
  }
}
