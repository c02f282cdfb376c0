/** The log as served, read by somebody who has the standards, the key of the log, and not one line of our code. */
import { createHash, createPrivateKey, createPublicKey, generateKeyPairSync, type KeyObject } from 'node:crypto'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { onConnection, type RegisteredFirm, registerFirm } from '../../packages/service/src/db/testing.ts'
import { submissionOf } from '../../packages/service/src/field-tests/testing.ts'
import { write } from '../../packages/service/src/field-tests/write.ts'
import { startTestService, TEST_SIGNING_KEY, type TestService } from '../setup/service.ts'
import { indexPath, Refused, readCheckpoint, readLog, type Seen, treeHash, type Where } from './verifier.ts'

const ORIGIN = 'liftledger.example'

/** The key of a log as it is handed over, made from the private key as `signed-note.md` says. */
function verifierKeyOf(privateKey: KeyObject, name = ORIGIN): string {
  const spki = createPublicKey(privateKey).export({ format: 'der', type: 'spki' })
  const typed = Buffer.concat([Buffer.of(1), spki.subarray(-32)])
  const id = createHash('sha256').update(`${name}\n`).update(typed).digest('hex').slice(0, 8)
  return `${name}+${id}+${typed.toString('base64')}`
}

const logKey = createPrivateKey({ key: Buffer.from(TEST_SIGNING_KEY, 'base64'), format: 'der', type: 'pkcs8' })

let service: TestService
let firm: RegisteredFirm
let where: Where
beforeAll(async () => {
  service = await startTestService()
  firm = await registerFirm(service.deps.databases)
  where = {
    base: `${await service.listen()}/v1/ledger`,
    verifierKey: verifierKeyOf(logKey),
    authorization: `Bearer ${service.keys.auditor}`,
  }
})
afterAll(() => service.close())

/** Lets the log have `size` entries, the first of which put its key in force. */
async function growTo(size: number): Promise<void> {
  await service.app.ledger.settle()
  const { size: now } = await readCheckpoint(where)
  await write(
    service.deps.databases.writer,
    Array.from({ length: size - now }, () => submissionOf(firm)),
  )
  await service.app.ledger.settle()
}

const storedEntries = (): Promise<Buffer[]> =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{ entry: Buffer }>('select entry from ll.ledger_entry order by index')
    return rows.map(({ entry }) => entry)
  })

/** By size: the tiles and bundles of a tree of that size, counted by hand from the formula of `tlog-tiles.md`. */
const PATHS: Readonly<Record<number, readonly string[]>> = {
  1: ['tile/0/000.p/1', 'tile/entries/000.p/1'],
  255: ['tile/0/000.p/255', 'tile/entries/000.p/255'],
  256: ['tile/0/000', 'tile/1/000.p/1', 'tile/entries/000'],
  257: ['tile/0/000', 'tile/0/001.p/1', 'tile/1/000.p/1', 'tile/entries/000', 'tile/entries/001.p/1'],
  1025: [
    ...['tile/0/000', 'tile/0/001', 'tile/0/002', 'tile/0/003', 'tile/0/004.p/1', 'tile/1/000.p/4'],
    ...['tile/entries/000', 'tile/entries/001', 'tile/entries/002', 'tile/entries/003', 'tile/entries/004.p/1'],
  ],
}
const SIZES = Object.keys(PATHS).map(Number)

describe('what the verifier goes by', () => {
  test('is the tree of RFC 6962: no leaf has the hash of nothing, three split as two and one', () => {
    const [a, b, c] = ['a', 'b', 'c'].map((text) => createHash('sha256').update(text).digest()) as [
      Buffer,
      Buffer,
      Buffer,
    ]
    const node = (left: Buffer, right: Buffer) =>
      createHash('sha256').update(Buffer.of(1)).update(left).update(right).digest()
    expect(treeHash([]).toString('hex')).toBe('e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855')
    expect(treeHash([a, b, c])).toEqual(node(node(a, b), c))
  })

  test('is the path of the example in tlog-tiles.md', () => {
    expect(indexPath(1_234_067)).toBe('x001/x234/067')
    expect([0, 999, 1000].map(indexPath)).toEqual(['000', '999', 'x001/000'])
  })

  test('is the key that the log itself names', async () => {
    const { body } = await service.call<{ items: { key: string }[] }>('nobody', 'GET /v1/ledger/keys')
    expect(body.items.map(({ key }) => key)).toEqual([where.verifierKey])
  })
})

test('sizes 1, 255, 256, 257 and 1,025: key, tiles, root and entries are as the texts say', async () => {
  const roots = new Map<number, Buffer>()
  let last: Seen | undefined
  for (const size of SIZES) {
    await growTo(size)
    const seen = await readLog(where)
    expect(seen).toMatchObject({ origin: ORIGIN, size, paths: PATHS[size] })
    expect(seen.entries).toEqual(await storedEntries())
    roots.set(size, seen.root)
    last = seen
  }
  // Every root that was signed on the way is one of the beginning of the same log.
  const leaves = last!.entries.map((entry) => createHash('sha256').update(Buffer.of(0)).update(entry).digest())
  for (const [size, root] of roots) expect(treeHash(leaves.slice(0, size))).toEqual(root)
})

test('tiles of checkpoints that were passed are still served; what the tree has not is not', async () => {
  await growTo(1025)
  const statusOf = async (path: string): Promise<number> =>
    (await fetch(`${where.base}/${path}`, { headers: { authorization: where.authorization } })).status
  for (const path of SIZES.flatMap((size) => PATHS[size]!)) expect([path, await statusOf(path)]).toEqual([path, 200])
  const absent = [
    ...[
      'tile/0/004',
      'tile/0/004.p/2',
      'tile/0/005',
      'tile/0/005.p/1',
      'tile/1/000',
      'tile/1/000.p/5',
      'tile/2/000.p/1',
    ],
    ...['tile/0/004.p/0', 'tile/0/000.p/256', 'tile/0/000.p/01', 'tile/0/4.p/1', 'tile/0/x000/000', 'tile/00/000'],
    ...['tile/64/000', 'tile/63/000', 'tile/-1/000', 'tile/entries/004', 'tile/entries/004.p/2', 'tile/entries/005'],
  ]
  for (const path of absent) expect([path, await statusOf(path)]).toEqual([path, 404])
  expect((await fetch(`${where.base}/tile/entries/000`)).status).toBe(401)
})

interface Kept {
  readonly body: Buffer
  readonly type: string
}

/** Answers of the service by path, read once: they are spoiled many times. */
async function keptAnswers(): Promise<Map<string, Kept>> {
  const kept = new Map<string, Kept>()
  await readLog({
    ...where,
    fetch: async (url, init) => {
      const answer = await fetch(url, init)
      const body = Buffer.from(await answer.arrayBuffer())
      const type = answer.headers.get('content-type')!
      kept.set(String(url).slice(where.base.length + 1), { body, type })
      return new Response(new Uint8Array(body), { headers: { 'content-type': type } })
    },
  })
  return kept
}

describe('a log that is not as signed is refused', () => {
  let kept: Map<string, Kept>
  beforeAll(async () => {
    await growTo(1025)
    kept = await keptAnswers()
  })

  /** Reads the log again, one answer of it changed. */
  const readChanged = (path: string, change: (kept: Kept) => Kept, other: Partial<Where> = {}): Promise<Seen> =>
    readLog({
      ...where,
      fetch: async (url) => {
        const asked = String(url).slice(where.base.length + 1)
        const found = kept.get(asked)
        if (found === undefined) return new Response('', { status: 404 })
        const { body, type } = asked === path ? change(found) : found
        return new Response(new Uint8Array(body), { headers: { 'content-type': type } })
      },
      ...other,
    })
  const same = (answer: Kept): Kept => answer
  const changedNote = (change: (note: string) => string) =>
    readChanged('checkpoint', ({ body, type }) => {
      const changed = change(body.toString())
      expect(changed).not.toBe(body.toString())
      return { body: Buffer.from(changed), type }
    })

  test('and unchanged it is not', async () => {
    expect((await readChanged('', same)).size).toBe(1025)
  })

  test.each(['checkpoint', ...PATHS[1025]!])('%s with one bit flipped, wherever it is', async (path) => {
    const { length } = kept.get(path)!.body
    const places = [0, length - 1, ...Array.from({ length: 18 }, () => Math.floor(Math.random() * length))]
    for (const place of places) {
      const mask = 1 << Math.floor(Math.random() * 8)
      const spoiled = readChanged(path, ({ body, type }) => {
        const bytes = Buffer.from(body)
        bytes[place]! ^= mask
        return { body: bytes, type }
      })
      await expect(spoiled, `byte ${place} with ${mask}`).rejects.toThrow(Refused)
    }
  })

  test.each(PATHS[1025]!)('%s cut short, or with something after its end', async (path) => {
    await expect(readChanged(path, ({ body, type }) => ({ body: body.subarray(0, -1), type }))).rejects.toThrow(Refused)
    const longer = readChanged(path, ({ body, type }) => ({ body: Buffer.concat([body, Buffer.alloc(32)]), type }))
    await expect(longer).rejects.toThrow(Refused)
  })

  test('another key: of another name, of the same name, with an id that is not its own', async () => {
    const another = generateKeyPairSync('ed25519').privateKey
    const [name, , key] = where.verifierKey.split('+')
    for (const [verifierKey, sentence] of [
      [verifierKeyOf(logKey, 'another.example'), /no signature is of the key that was given/],
      [verifierKeyOf(another), /no signature is of the key that was given/],
      [`${name}+00000000+${key}`, /the id of the verifier key is not that/],
    ] as const) {
      await expect(readChanged('', same, { verifierKey })).rejects.toThrow(sentence)
    }
  })

  test('a line of the checkpoint changed, added or taken out', async () => {
    const notOver = /not one of this key over this text/
    await expect(changedNote((note) => note.replace('\n1025\n', '\n1024\n'))).rejects.toThrow(notOver)
    await expect(changedNote((note) => note.replace(/^liftledger/, 'liftledges'))).rejects.toThrow(notOver)
    await expect(changedNote((note) => note.replace(/\n[^\n]{43}=\n/, `\n${'A'.repeat(43)}=\n`))).rejects.toThrow(
      notOver,
    )
    await expect(changedNote((note) => note.replace('\n\n', '\nmore\n\n'))).rejects.toThrow(notOver)
    await expect(changedNote((note) => note.replace('\n1025\n', '\n'))).rejects.toThrow(notOver)
    await expect(changedNote((note) => note.slice(0, note.indexOf('\n\n') + 1))).rejects.toThrow(/no blank line/)
  })

  test('a level above that is not what the one below gives, though each tile has its size', async () => {
    const swapped = readChanged('tile/1/000.p/4', ({ body, type }) => ({
      body: Buffer.concat([body.subarray(32, 64), body.subarray(0, 32), body.subarray(64)]),
      type,
    }))
    await expect(swapped).rejects.toThrow(/hash 0 of level 1 is not that of the tile below it/)
  })

  test('two entries that changed places', async () => {
    const path = 'tile/entries/001'
    const swapped = readChanged(path, ({ body, type }) => {
      const second = 2 + body.readUInt16BE(0)
      const third = second + 2 + body.readUInt16BE(second)
      const parts = [body.subarray(second, third), body.subarray(0, second), body.subarray(third)]
      return { body: Buffer.concat(parts), type }
    })
    await expect(swapped).rejects.toThrow(/entry 256 does not hash to its leaf/)
  })
})
