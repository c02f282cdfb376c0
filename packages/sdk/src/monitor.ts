/**
 * What a monitor of a log does: it keeps the last checkpoint it saw, and lets the next one pass only if that one
 * continues it. Whoever keeps the log, with its key, its database and everything, can't go back behind what a monitor
 * saw without being caught.
 *
 * The log proves each step with its tiles; nothing is taken on trust but the first checkpoint, and not that where the
 * key of the log is given.
 */
import {
  type Checkpoint,
  consistencyProof,
  entryBytes,
  equalBytes,
  fromBase64,
  HASH_BYTES,
  type HashTile,
  inclusionProof,
  leafHash,
  parseCheckpoint,
  parseNote,
  parseVerifierKey,
  rootAt,
  TileReader,
  tilePath,
  VerificationError,
  verifyConsistency,
  verifyInclusion,
  verifyNote,
} from '@liftledger/ledger'

/** What a monitor cries out for: a closed list, each with a sentence for its reader. */
export const monitorCodes = {
  'origin-changed': 'The log at this address is another one than before.',
  'checkpoint-malformed': 'What the log gives as its checkpoint is none.',
  'signature-wrong': 'The checkpoint was not signed by the key it names.',
  'key-unknown': 'The checkpoint is signed by a key that nobody vouches for.',
  'key-not-recorded': 'The log names a key that its own entries do not put in force.',
  'key-gone': 'A key that the log named before is no longer among its keys, or is said to be of another time.',
  'log-shrunk': 'The log has fewer entries than it had: its end was cut off.',
  'log-forked': 'The log does not continue what it was: an entry was changed, put in or taken out.',
  'proof-missing': 'The log does not give what would prove that it continues what it was.',
  'time-backwards': 'The clock of this machine is behind the time at which it last looked.',
} as const
export type MonitorCode = keyof typeof monitorCodes

/** The log can't be what it says. */
export class MonitorAlarm extends Error {
  readonly code: MonitorCode
  constructor(code: MonitorCode, message: string) {
    super(message)
    this.name = 'MonitorAlarm'
    this.code = code
  }
}

/** A key of the log and the entry that put it in force. */
export interface MonitoredKey {
  readonly key: string
  readonly index: number
  readonly since: string
}

/** What is kept between two looks. */
export interface MonitorState {
  readonly v: 1
  readonly origin: string
  readonly size: number
  /** Base 64. */
  readonly root: string
  /** The signed note, as evidence. */
  readonly checkpoint: string
  readonly keys: readonly MonitoredKey[]
  /** When the last look was, RFC 3339. */
  readonly seenAt: string
}

/** The log, by the paths below `/v1/ledger/`. */
export interface MonitoredLog {
  text(path: string): Promise<string>
  bytes(path: string): Promise<Uint8Array>
}

export interface Look {
  readonly state: MonitorState
  /** Entries since the last look; undefined at the first. */
  readonly added: number | undefined
  /** Keys that came into force since. */
  readonly newKeys: readonly MonitoredKey[]
}

/**
 * Looks once. `trusted` are verifier keys of the log that the caller has from somewhere else.
 *
 * @throws MonitorAlarm for a log that isn't what it was; whatever `log` throws where it can't be asked.
 */
export async function look(
  log: MonitoredLog,
  { before, trusted, now }: { before: MonitorState | undefined; trusted: readonly string[]; now: Date },
): Promise<Look> {
  if (before !== undefined && now.getTime() < Date.parse(before.seenAt)) {
    throw new MonitorAlarm('time-backwards', `It is ${now.toISOString()} here; the last look was at ${before.seenAt}.`)
  }
  const note = await log.text('checkpoint')
  const checkpoint = readCheckpoint(note)
  const keys = (JSON.parse(await log.text('keys')) as { items: MonitoredKey[] }).items.map(
    ({ key, index, since }): MonitoredKey => ({ key, index, since }),
  )
  await insistOnSigner(note, { checkpoint, before, trusted, keys })
  const tree = new TileReader(checkpoint.size, (tiles) => fetchTiles(log, tiles))
  await insistOnContinuing(checkpoint, before, tree)
  const newKeys = await insistOnKeys(keys, { before, checkpoint, tree })
  const { origin, size, root } = checkpoint
  return {
    state: {
      v: 1,
      origin,
      size,
      root: btoa(String.fromCharCode(...root)),
      checkpoint: note,
      keys,
      seenAt: now.toISOString(),
    },
    added: before === undefined ? undefined : size - before.size,
    newKeys: before === undefined ? [] : newKeys,
  }
}

function readCheckpoint(note: string): Checkpoint {
  try {
    return parseCheckpoint(parseNote(note).body)
  } catch (error) {
    if (!(error instanceof VerificationError)) throw error
    throw new MonitorAlarm('checkpoint-malformed', error.message)
  }
}

interface Signing {
  readonly checkpoint: Checkpoint
  readonly before: MonitorState | undefined
  readonly trusted: readonly string[]
  /** As the log names them, to begin with where nobody brought one. */
  readonly keys: readonly MonitoredKey[]
}

/** A key that was known before must have signed: a new one is let in by an old one that signs beside it. */
async function insistOnSigner(note: string, { checkpoint, before, trusted, keys }: Signing): Promise<void> {
  if (before !== undefined && checkpoint.origin !== before.origin) {
    throw new MonitorAlarm('origin-changed', `The log was '${before.origin}' and is '${checkpoint.origin}'.`)
  }
  const known = [...trusted, ...(before?.keys ?? []).map(({ key }) => key)]
  const texts = known.length > 0 ? known : keys.map(({ key }) => key)
  try {
    await verifyNote(note, texts.map(parseVerifierKey))
  } catch (error) {
    if (!(error instanceof VerificationError)) throw error
    const code = error.code === 'signature-wrong' ? 'signature-wrong' : 'key-unknown'
    throw new MonitorAlarm(code, `The checkpoint of ${checkpoint.size} entries: ${error.message}`)
  }
}

async function insistOnContinuing(
  { size, root }: Checkpoint,
  before: MonitorState | undefined,
  tree: TileReader,
): Promise<void> {
  if (before === undefined) return
  const oldRoot = fromBase64(before.root)!
  if (size < before.size) {
    throw new MonitorAlarm('log-shrunk', `The log had ${before.size} entries and has ${size}.`)
  }
  const forked = (reason: string): MonitorAlarm =>
    new MonitorAlarm('log-forked', `The log of ${size} entries does not continue the one of ${before.size}: ${reason}`)
  if (size === before.size) {
    if (!equalBytes(root, oldRoot)) throw forked('as many entries have another root.')
    return
  }
  const { proof, ownRoot } = await tree.read((read) => ({
    proof: consistencyProof(before.size, size, read),
    ownRoot: rootAt(size, read),
  }))
  if (!equalBytes(ownRoot, root)) {
    throw new MonitorAlarm('proof-missing', `The tiles of the log are not those of its checkpoint of ${size} entries.`)
  }
  try {
    verifyConsistency({ oldSize: before.size, oldRoot, newSize: size, newRoot: root, proof })
  } catch (error) {
    if (!(error instanceof VerificationError)) throw error
    throw forked(error.message)
  }
}

/** Every key stands in the log by an entry of its own; those known before stand where they stood. Answers the new ones. */
async function insistOnKeys(
  keys: readonly MonitoredKey[],
  { before, checkpoint, tree }: { before: MonitorState | undefined; checkpoint: Checkpoint; tree: TileReader },
): Promise<MonitoredKey[]> {
  const { size, root } = checkpoint
  for (const [place, known] of (before?.keys ?? []).entries()) {
    const now = keys[place]
    if (now?.key === known.key && now.index === known.index && now.since === known.since) continue
    throw new MonitorAlarm(
      'key-gone',
      `Key ${known.key}, in force since entry ${known.index}, is not where it was among the keys of the log.`,
    )
  }
  for (const [place, { key, index, since }] of keys.entries()) {
    if (place < (before?.keys.length ?? 0)) continue
    const replaces = keys[place - 1]?.key
    try {
      const leaf = leafHash(
        entryBytes({ v: 1, kind: 'signing-key', at: since, key, ...(replaces !== undefined && { replaces }) }),
      )
      const proof = await tree.read((read) => inclusionProof(index, size, read))
      verifyInclusion({ leafHash: leaf, index, size, proof, root })
    } catch (error) {
      if (error instanceof MonitorAlarm) throw error
      throw new MonitorAlarm(
        'key-not-recorded',
        `Key ${key} is said to be in force since entry ${index}: ${error instanceof Error ? error.message : String(error)}`,
      )
    }
  }
  return keys.slice(before?.keys.length ?? 0)
}

const fetchTiles = (log: MonitoredLog, tiles: readonly HashTile[]): Promise<Uint8Array[]> =>
  Promise.all(
    tiles.map(async ({ level, index, width }) => {
      const path = tilePath(level, index, width)
      const bytes = await log.bytes(path)
      if (bytes.length === width * HASH_BYTES) return bytes
      throw new MonitorAlarm(
        'proof-missing',
        `${path} of the log has ${bytes.length} bytes and is no tile of ${width}.`,
      )
    }),
  )
