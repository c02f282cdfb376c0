/**
 * Word from the database: one connection of its own that listens, made again whenever it is lost.
 *
 * A pooled connection can't listen: whoever borrows it next would do so too, and a pooler in between hands the
 * session to someone else.
 */
import pg from 'pg'
import type { Logger } from 'pino'
import { inRole } from './pool.ts'

export interface Listener {
  /** Whether word would arrive at this moment, as far as this side can tell. */
  readonly listening: boolean
  close(): Promise<void>
}

export interface Heard {
  /** Word arrived: the payload of the notification. */
  word(payload: string): void
  /** It began or ended to listen; what was said in between is not known. */
  gap(): void
}

const RETRY_MS = { first: 50, most: 2_000 }
const CONNECT_TIMEOUT_MS = 5_000

/** Listens on a channel until closed. Answers at once: whether the connection succeeds shows in `listening`. */
export function listen(url: string, channel: string, heard: Heard, log: Logger): Listener {
  let client: pg.Client | undefined
  let listening = false
  let closed = false
  let retryMs = RETRY_MS.first
  let timer: NodeJS.Timeout | undefined

  const lost = (one: pg.Client, error?: Error): void => {
    if (client !== one) return
    client = undefined
    listening = false
    heard.gap()
    one.end().catch(() => undefined)
    if (closed) return
    log.warn({ err: error, channel }, 'listening connection lost')
    timer = setTimeout(connect, retryMs)
    timer.unref()
    retryMs = Math.min(retryMs * 2, RETRY_MS.most)
  }

  const connect = (): void => {
    const one = new pg.Client({
      ...inRole(url, 'll_gate'),
      application_name: 'liftledger listener',
      connectionTimeoutMillis: CONNECT_TIMEOUT_MS,
      // A peer that went away without a word is noticed by the system.
      keepAlive: true,
      keepAliveInitialDelayMillis: 1_000,
    })
    client = one
    one.on('error', (error) => lost(one, error))
    one.on('end', () => lost(one))
    one.on('notification', ({ payload = '' }) => heard.word(payload))
    one
      .connect()
      .then(() => one.query(`listen ${pg.escapeIdentifier(channel)}`))
      .then(
        () => {
          if (client !== one) return
          listening = true
          retryMs = RETRY_MS.first
          heard.gap()
        },
        (error: Error) => lost(one, error),
      )
  }

  connect()
  return {
    get listening() {
      return listening
    },
    async close() {
      closed = true
      clearTimeout(timer)
      const one = client
      client = undefined
      listening = false
      await one?.end().catch(() => undefined)
    },
  }
}
