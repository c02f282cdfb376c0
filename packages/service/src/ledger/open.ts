/** The ledger of a running service: its keys, the tree that follows the entries, and what others ask of it. */
import { formatReceipts, formatVerifierKey, signReceipts } from '@liftledger/ledger'
import type { Deps } from '../deps.ts'
import type { LedgerAppends } from './append.ts'
import { Integrator } from './integrator.ts'
import { type KeysInForce, type LogSigners, putInForce } from './key-record.ts'
import { loadKey } from './keys.ts'

declare module 'fastify' {
  interface FastifyInstance {
    ledger: Ledger
  }
}

export interface Ledger extends LedgerAppends {
  readonly origin: string
  /** Seconds for which stored entries have not been under a checkpoint. */
  readonly lagS: number
  /** Why this process should not be sent requests; undefined where nothing is wrong. */
  concern(): string | undefined
  /** Answers when the newest checkpoint covers every entry there is now. */
  settle(): Promise<void>
  close(): Promise<void>
}

/** A checkpoint that is later than this is trouble. */
const LAG_S_MAX = 30

/**
 * Reads the keys, puts a new one in force, and begins to follow the entries.
 *
 * Throws where a key can't be used or is not the one in force; the message says what to change.
 */
export async function openLedger({ config, databases, log, now }: Omit<Deps, 'newId'>): Promise<Ledger> {
  const { signingKey, previousKey } = config.ledger
  const current = await loadKey(signingKey, 'LEDGER_SIGNING_KEY')
  const previous = previousKey === undefined ? undefined : await loadKey(previousKey, 'LEDGER_PREVIOUS_KEY')
  const pool = databases.integrator
  const given = { settings: config.ledger, current, ...(previous !== undefined && { previous }) }
  const inForce = await putInForce(pool, given, now)
  tell(inForce, config.ledger.lostKey, log)
  const { signers } = inForce
  const integrator = new Integrator({ pool, signers, now, log })
  integrator.start()
  return {
    origin: signers.origin,
    get lagS() {
      return integrator.lagS
    },
    appended: (batch) => {
      const [first] = batch
      if (first === undefined) return []
      integrator.appended(first.index + batch.length)
      try {
        return receipts(signers, batch, now())
      } catch (error) {
        log.error({ err: error }, 'no receipts')
        return batch.map(() => undefined)
      }
    },
    concern: () => concernOf(integrator),
    settle: () => integrator.settle(),
    close: () => integrator.close(),
  }
}

/** Who copies the key from here can hold every checkpoint against it. */
function tell({ signers, begun, replaces }: KeysInForce, lostKey: string | undefined, log: Deps['log']): void {
  // `key` would be taken for a secret and blotted out.
  const named = { origin: signers.origin, verifierKey: formatVerifierKey(signers.current.key) }
  if (replaces !== undefined) log.warn({ ...named, replaces }, 'a new ledger key came into force')
  else if (begun) log.info(named, 'the ledger begins with its first key')
  log.info(named, 'ledger key in force')
  if (lostKey !== undefined) log.warn('LEDGER_KEY_LOST has done its work, take it out')
}

function receipts({ current }: LogSigners, batch: Parameters<LedgerAppends['appended']>[0], at: Date): string[] {
  const leafHashes = batch.map(({ leafHash }) => leafHash)
  return formatReceipts(signReceipts(current, { first: batch[0]!.index, leafHashes, at: at.toISOString() }))
}

function concernOf({ refusal, lagS }: Integrator): string | undefined {
  if (refusal !== undefined) return `The ledger is not signed any more: ${refusal}`
  if (lagS <= LAG_S_MAX) return undefined
  return `For ${Math.round(lagS)} s the checkpoint of the ledger has not covered entries that are stored.`
}
