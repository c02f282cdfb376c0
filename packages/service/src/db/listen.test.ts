import { setTimeout as sleep } from 'node:timers/promises'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, onTestFinished, test, vi } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Listener, listen } from './listen.ts'
import { onConnection } from './testing.ts'

const log = pino({ level: 'silent' })
let database: ClonedDatabase
beforeAll(async () => {
  database = await cloneDatabase()
})
afterAll(() => database.drop())

function listening(url = database.url): { listener: Listener; words: string[]; gaps: () => number } {
  const words: string[] = []
  let gaps = 0
  const heard = {
    word: (word: string) => void words.push(word),
    gap: () => {
      gaps += 1
    },
  }
  const listener = listen(url, 'a_channel', heard, log)
  onTestFinished(() => listener.close())
  return { listener, words, gaps: () => gaps }
}

const say = (word: string) =>
  onConnection(database.url, undefined, (client) => client.query('select pg_notify($1, $2)', ['a_channel', word]))
const until = (check: () => void) => vi.waitFor(check, { timeout: 5_000, interval: 10 })

describe('a listener', () => {
  test('hears what is said once it listens, in order, and as the role that may do least', async () => {
    const { listener, words } = listening()
    await until(() => expect(listener.listening).toBe(true))
    for (const word of ['one', 'two', '']) await say(word)
    await until(() => expect(words).toEqual(['one', 'two', '']))
    const { rows } = await onConnection(database.url, undefined, (client) =>
      client.query("select count(*)::int as n from pg_stat_activity where application_name = 'liftledger listener'"),
    )
    expect(rows[0].n).toBeGreaterThan(0)
  })

  test('says that there was a gap when its connection is cut, and hears again by itself', async () => {
    const { listener, words, gaps } = listening()
    await until(() => expect(listener.listening).toBe(true))
    expect(gaps()).toBe(1)
    await onConnection(database.url, undefined, (client) =>
      client.query(
        `select pg_terminate_backend(pid) from pg_stat_activity
         where application_name = 'liftledger listener' and datname = current_database()`,
      ),
    )
    // Once for the loss, once for being there again.
    await until(() => expect([gaps(), listener.listening]).toEqual([3, true]))
    await say('again')
    await until(() => expect(words).toEqual(['again']))
  })

  test('waits for a database that is not there, and ends when told to', async () => {
    const { listener, gaps } = listening('postgres://nobody@127.0.0.1:1/none')
    await until(() => expect(gaps()).toBeGreaterThan(1))
    expect(listener.listening).toBe(false)
    await listener.close()
    const before = gaps()
    await sleep(500)
    expect(gaps()).toBe(before)
  })

  test('can be closed before it ever listened', async () => {
    const { listener } = listening()
    await listener.close()
    expect(listener.listening).toBe(false)
  })
})
