/**
 * A reader of the log who knows the standards and nothing of this project: it imports no line of it.
 *
 * Sources: RFC 6962 (IETF, 2013) section 2.1 for the hashes and the tree; C2SP `signed-note.md` for the note and its
 * key ids, `tlog-checkpoint.md` for the three lines, `tlog-tiles.md` for paths, widths and the entry bundles. How a key is
 * handed over as text (name, id, key with a plus between) is common practice among such logs; from memory.
 */
import { createHash, createPublicKey, verify } from 'node:crypto'

export interface Where {
  /** Prefix of the log, without a slash at its end. */
  readonly base: string
  /** `<name>+<hex key id>+<base64 of type and public key>`. */
  readonly verifierKey: string
  /** For the entry bundles: value of the header `Authorization`. */
  readonly authorization: string
  /** Another one in its place can spoil answers. */
  readonly fetch?: typeof fetch
}

export interface Checkpoint {
  readonly origin: string
  readonly size: number
  readonly root: Buffer
}

export interface Seen extends Checkpoint {
  /** The entries, in the order of the log. */
  readonly entries: readonly Buffer[]
  /** Paths of the tiles and bundles read, in the order of reading. */
  readonly paths: readonly string[]
}

export class Refused extends Error {
  override readonly name = 'Refused'
}

function refuseUnless(holds: boolean, sentence: string): asserts holds {
  if (!holds) throw new Refused(sentence)
}

const HASH_BYTES = 32
const TILE_WIDTH = 256

const sha256 = (...parts: readonly Uint8Array[]): Buffer => {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return hash.digest()
}

// RFC 6962, 2.1
export const leafHash = (entry: Uint8Array): Buffer => sha256(Uint8Array.of(0), entry)
const nodeHash = (left: Uint8Array, right: Uint8Array): Buffer => sha256(Uint8Array.of(1), left, right)

/** RFC 6962, 2.1: MTH, over hashes of leaves (or of whole subtrees of one height) rather than over the data. */
export function treeHash(hashes: readonly Buffer[]): Buffer {
  const [only] = hashes
  if (only === undefined) return sha256()
  if (hashes.length === 1) return only
  let split = 1
  while (split * 2 < hashes.length) split *= 2
  return nodeHash(treeHash(hashes.slice(0, split)), treeHash(hashes.slice(split)))
}

/** Base 64 of RFC 4648, section 4, and no other spelling of the same bytes. */
function base64(text: string, what: string): Buffer {
  const bytes = Buffer.from(text, 'base64')
  refuseUnless(text !== '' && bytes.toString('base64') === text, `${what} is not base64: ${text}`)
  return bytes
}

interface NoteKey {
  readonly name: string
  readonly id: Buffer
  readonly publicKey: Buffer
}

const ED25519 = 1
const KEY_NAME = /^[^\p{White_Space}+]+$/u

// signed-note.md, "Signatures"; the name has no plus, base64 may
function noteKey(verifierKey: string): NoteKey {
  const parts = /^([^+]+)\+([0-9a-f]{8})\+(.+)$/u.exec(verifierKey)
  refuseUnless(parts !== null, 'the verifier key has not the three parts name, id, key')
  const [, name = '', hexId = '', encoded = ''] = parts
  refuseUnless(KEY_NAME.test(name), 'the name of the verifier key has a space or a plus')
  const typed = base64(encoded, 'the verifier key')
  refuseUnless(typed[0] === ED25519 && typed.length === 1 + HASH_BYTES, 'the verifier key is not one of Ed25519')
  const id = sha256(Buffer.from(`${name}\n`), typed).subarray(0, 4)
  refuseUnless(id.toString('hex') === hexId, 'the id of the verifier key is not that of its name and key')
  return { name, id, publicKey: typed.subarray(1) }
}

/** RFC 8410: what Node wants around the 32 bytes of an Ed25519 key. */
const SPKI_PREFIX = Buffer.from('302a300506032b6570032100', 'hex')

const signs = (key: NoteKey, text: string, signature: Buffer): boolean =>
  verify(
    null,
    Buffer.from(text),
    createPublicKey({ key: Buffer.concat([SPKI_PREFIX, key.publicKey]), format: 'der', type: 'spki' }),
    signature,
  )

function textOf(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes)
  } catch {
    throw new Refused('the note is not UTF-8')
  }
}

// signed-note.md, "Format" and "Signatures"
function openNote(bytes: Uint8Array, key: NoteKey): string {
  const note = textOf(bytes)
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for
  refuseUnless(!/[\u0000-\u0009\u000b-\u001f]/u.test(note), 'the note has a control character')
  const gap = note.lastIndexOf('\n\n')
  refuseUnless(gap > 0 && note.endsWith('\n'), 'the note has no blank line before its signatures, or no end')
  const text = note.slice(0, gap + 1)
  const lines = note.slice(gap + 2, -1).split('\n')
  let verified = false
  for (const line of lines) {
    const parts = /^\u2014 (\S+) (\S+)$/u.exec(line)
    refuseUnless(parts !== null && KEY_NAME.test(parts[1] ?? ''), `not a line of a signature: ${line}`)
    const signature = base64(parts[2] ?? '', 'the signature')
    refuseUnless(signature.length > 4, 'the signature has no bytes after its key id')
    if (parts[1] !== key.name || !signature.subarray(0, 4).equals(key.id)) continue
    refuseUnless(signs(key, text, signature.subarray(4)), 'the signature is not one of this key over this text')
    verified = true
  }
  refuseUnless(verified, 'no signature is of the key that was given')
  return text
}

// tlog-checkpoint.md, "Note text"
function checkpointOf(text: string): Checkpoint {
  const lines = text.slice(0, -1).split('\n')
  refuseUnless(lines.length >= 3 && lines.every((line) => line !== ''), 'the checkpoint has not its three lines')
  const [origin = '', size = '', root = ''] = lines
  refuseUnless(/^(0|[1-9][0-9]*)$/.test(size) && Number.isSafeInteger(Number(size)), `not a tree size: ${size}`)
  const hash = base64(root, 'the root hash')
  refuseUnless(hash.length === HASH_BYTES, 'the root hash has not 32 bytes')
  return { origin, size: Number(size), root: hash }
}

/** tlog-tiles.md: groups of three digits, all but the last with an `x` before them. */
export function indexPath(index: number): string {
  const digits = String(index)
  const groups = digits.padStart(Math.ceil(digits.length / 3) * 3, '0').match(/.{3}/g) ?? []
  return groups.map((group, at) => (at < groups.length - 1 ? `x${group}` : group)).join('/')
}

interface TilePath {
  readonly path: string
  readonly width: number
}

/** Tiles that hold `count` hashes, or bundles that hold `count` entries: the full ones, and the partial one if any. */
function tilesOf(folder: string, count: number): TilePath[] {
  const full = Math.floor(count / TILE_WIDTH)
  const tiles = Array.from({ length: full }, (_, n) => ({ path: `${folder}/${indexPath(n)}`, width: TILE_WIDTH }))
  const rest = count % TILE_WIDTH
  return rest === 0 ? tiles : [...tiles, { path: `${folder}/${indexPath(full)}.p/${rest}`, width: rest }]
}

/** tlog-tiles.md, "Log entries": lengths of two bytes, the high one first. */
function entriesOf(bundle: Buffer, { path, width }: TilePath): Buffer[] {
  const entries: Buffer[] = []
  let at = 0
  while (at < bundle.length) {
    refuseUnless(at + 2 <= bundle.length, `${path} ends within a length`)
    const end = at + 2 + bundle.readUInt16BE(at)
    refuseUnless(end <= bundle.length, `${path} ends within an entry`)
    entries.push(bundle.subarray(at + 2, end))
    at = end
  }
  refuseUnless(entries.length === width, `${path} has ${entries.length} entries, not ${width}`)
  return entries
}

function hashesOf(tile: Buffer, { path, width }: TilePath): Buffer[] {
  refuseUnless(tile.length === width * HASH_BYTES, `${path} has ${tile.length} bytes, not ${width * HASH_BYTES}`)
  return Array.from({ length: width }, (_, at) => tile.subarray(at * HASH_BYTES, (at + 1) * HASH_BYTES))
}

/** Fetches one resource of the log, and holds it to the type that the text demands. */
async function get(where: Where, path: string, type: string, headers: Record<string, string> = {}): Promise<Buffer> {
  const response = await (where.fetch ?? fetch)(`${where.base}/${path}`, { headers })
  refuseUnless(response.status === 200, `${path} answered ${response.status}`)
  const sent = response.headers.get('content-type') ?? 'no type'
  refuseUnless(sent.toLowerCase() === type, `${path} came as ${sent}, not ${type}`)
  return Buffer.from(await response.arrayBuffer())
}

const OCTETS = 'application/octet-stream'

export async function readCheckpoint(where: Where): Promise<Checkpoint> {
  const note = await get(where, 'checkpoint', 'text/plain; charset=utf-8')
  return checkpointOf(openNote(note, noteKey(where.verifierKey)))
}

/** Reads the whole log and throws `Refused` at the first thing that is not as the checkpoint and the texts say. */
export async function readLog(where: Where): Promise<Seen> {
  const checkpoint = await readCheckpoint(where)
  const paths: string[] = []
  const leaves: Buffer[] = []
  let below: readonly Buffer[] = []
  for (let level = 0, count = checkpoint.size; count > 0; level++, count = Math.floor(count / TILE_WIDTH)) {
    const hashes: Buffer[] = []
    for (const tile of tilesOf(`tile/${level}`, count)) {
      hashes.push(...hashesOf(await get(where, tile.path, OCTETS), tile))
      paths.push(tile.path)
    }
    if (level === 0) leaves.push(...hashes)
    else
      for (const [at, hash] of hashes.entries()) {
        const under = treeHash(below.slice(at * TILE_WIDTH, (at + 1) * TILE_WIDTH))
        refuseUnless(hash.equals(under), `hash ${at} of level ${level} is not that of the tile below it`)
      }
    below = hashes
  }
  refuseUnless(treeHash(leaves).equals(checkpoint.root), 'the level 0 tiles do not give the root of the checkpoint')

  const entries: Buffer[] = []
  for (const bundle of tilesOf('tile/entries', checkpoint.size)) {
    const bytes = await get(where, bundle.path, OCTETS, { authorization: where.authorization })
    entries.push(...entriesOf(bytes, bundle))
    paths.push(bundle.path)
  }
  for (const [at, entry] of entries.entries())
    refuseUnless(leaves[at]?.equals(leafHash(entry)) === true, `entry ${at} does not hash to its leaf`)
  return { ...checkpoint, entries, paths }
}
