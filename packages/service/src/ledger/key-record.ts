/**
 * Which keys sign for the log, as its own entries say. A key comes into force by an entry of the kind `signing-key`,
 * so that nobody can sign with another one unseen; the name of the first key is the name of the log for good.
 */

import type { Signer } from '@liftledger/ledger'
import { formatVerifierKey, parseVerifierKey, type SigningKeyEntry, type VerifierKey } from '@liftledger/ledger'
import type pg from 'pg'
import { ConfigError, type LedgerSettings } from '../config.ts'
import { appendEntry } from './append.ts'
import type { NameSigner } from './keys.ts'
import { withLock } from './transaction.ts'

/** A key as an entry names it. */
export interface RecordedKey {
  readonly key: VerifierKey
  /** `name+id+key`. */
  readonly text: string
  /** Place of the entry, and when it was made. */
  readonly index: number
  readonly since: string
}

/** All keys in the order in which they came into force; the last one is in force. */
export async function recordedKeys(from: pg.Pool | pg.PoolClient): Promise<RecordedKey[]> {
  const { rows } = await from.query<{ index: number; entry: Buffer }>(
    `select index, entry from ll.ledger_entry where kind = 'signing-key' order by index`,
  )
  return rows.map(({ index, entry }) => {
    const { key, at } = JSON.parse(entry.toString('utf8')) as SigningKeyEntry
    return { key: parseVerifierKey(key), text: key, index: Number(index), since: at }
  })
}

/** Whose signatures a checkpoint gets. */
export interface LogSigners {
  readonly origin: string
  readonly current: Signer
  /** The key before it, where it is at hand, and until when it signs beside the current one. */
  readonly previous?: Signer
  readonly previousUntil: Date
}

/** For so long a key signs beside the one that took its place, so that verifiers have time to take a copy of that. */
const BESIDE_MS = 30 * 24 * 60 * 60 * 1000

interface GivenKeys {
  readonly settings: Pick<LedgerSettings, 'origin' | 'originToBeginWith' | 'lostKey'>
  readonly current: NameSigner
  readonly previous?: NameSigner
}

/** The keys of a log, and what was done so that they are. */
export interface KeysInForce {
  readonly signers: LogSigners
  /** Whether this process put the current key in force. */
  readonly begun: boolean
  /** The key whose place the current one took just now. */
  readonly replaces?: string
}

/**
 * Puts the given key in force where it isn't: the first one, and each one after it, by an entry. Of processes that
 * start at once, one does. A key takes the place of another for good, so the operator must show that it is meant: by
 * the key before it, or by naming that as lost. Otherwise a wrong file would do it.
 *
 * Throws {@link ConfigError} where the log has another name than the operator gives it or would begin with one that
 * is no name, where the key was in force before and was replaced, and where another key is in force that the
 * operator neither has nor gives up.
 */
export function putInForce(pool: pg.Pool, given: GivenKeys, now: () => Date): Promise<KeysInForce> {
  return withLock(pool, async (client) => {
    const recorded = await recordedKeys(client)
    const named = nameKeys(given, recorded)
    const [current, last] = [formatVerifierKey(named.current.key), recorded.at(-1)]
    const since = last?.text === current ? new Date(last.since) : now()
    const signers = { ...named, previousUntil: new Date(since.getTime() + BESIDE_MS) }
    if (last?.text === current) return { signers, begun: false }
    if (last !== undefined) insistThatMeant(current, named.previous, recorded, given.settings.lostKey)
    await appendEntry(client, {
      v: 1,
      kind: 'signing-key',
      at: since.toISOString(),
      key: current,
      ...(last !== undefined && { replaces: last.text }),
    })
    return { signers, begun: true, ...(last !== undefined && { replaces: last.text }) }
  })
}

/** Refuses a key that would take the place of the one in force by mistake. */
function insistThatMeant(
  current: string,
  previous: Signer | undefined,
  recorded: readonly RecordedKey[],
  lostKey: string | undefined,
): void {
  const last = recorded.at(-1)!
  const id = keyIdOf(last.key)
  const refuse = (message: string): never => {
    throw new ConfigError([message])
  }
  if (recorded.some(({ text }) => text === current)) {
    refuse(
      `LEDGER_SIGNING_KEY was replaced on ${last.since} by the key ${last.text}, and a key does not come back: give that one.`,
    )
  }
  if (previous !== undefined && formatVerifierKey(previous.key) === last.text) return
  if (lostKey === id) return
  if (lostKey !== undefined) refuse(`LEDGER_KEY_LOST is ${lostKey}, but in force is the key ${id} (${last.text}).`)
  refuse(
    `LEDGER_SIGNING_KEY is the key ${current}, but in force since ${last.since} is ${last.text}: give that one. ` +
      'To replace it for good, give it in LEDGER_PREVIOUS_KEY or its file in LEDGER_PREVIOUS_KEY_FILE; ' +
      `if it is lost, set LEDGER_KEY_LOST=${id}.`,
  )
}

/** The id as verifier keys spell it: 8 hexadecimal digits. */
const keyIdOf = ({ id }: VerifierKey): string => id.toString(16).padStart(8, '0')

function nameKeys(
  { settings, current, previous }: GivenKeys,
  recorded: readonly RecordedKey[],
): Omit<LogSigners, 'previousUntil'> {
  const known = recorded[0]?.key.name
  if (known !== undefined && settings.origin !== undefined && settings.origin !== known) {
    throw new ConfigError([
      `LEDGER_ORIGIN is '${settings.origin}', but this log began as '${known}' and keeps that name: ` +
        `set LEDGER_ORIGIN=${known}, or leave it out.`,
    ])
  }
  const origin = known ?? settings.origin ?? settings.originToBeginWith
  if (origin === undefined) {
    throw new ConfigError([
      'LEDGER_ORIGIN is missing: a log that begins is called after PUBLIC_URL for ever, and that names this machine ' +
        'only; set PUBLIC_URL to the address that others reach, or LEDGER_ORIGIN to a name such as ledger.example/liftledger.',
    ])
  }
  const before = previous?.(origin)
  if (before !== undefined && !recorded.some(({ text }) => text === formatVerifierKey(before.key))) {
    throw new ConfigError([
      `LEDGER_PREVIOUS_KEY never signed for '${origin}'; give the key that LEDGER_SIGNING_KEY takes the place of, or none.`,
    ])
  }
  return { origin, current: current(origin), ...(before !== undefined && { previous: before }) }
}
