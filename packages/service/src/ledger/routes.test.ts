/** The ledger as readers get it: every answer held against a log made anew from what was answered. */
import {
  consistencyProof,
  decodeEntries,
  fromHex,
  inclusionProof,
  leafHash,
  parseCheckpoint,
  parseNote,
  parseReceipt,
  parseVerifierKey,
  readFromTiles,
  rootAt,
  tilePath,
  tilesOf,
  toHex,
  type VerifierKey,
  verifyConsistency,
  verifyInclusion,
  verifyNote,
  verifyReceipt,
} from '@liftledger/ledger'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { onConnection } from '../db/testing.ts'
import { addEntries } from './testing.ts'

let service: TestService
let key: VerifierKey
/** Sizes that were signed, with what was signed. */
const signed = new Map<number, Uint8Array>()

beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const { body } = await service.call<{ items: { key: string }[] }>('nobody', 'GET /v1/ledger/keys')
  key = parseVerifierKey(body.items[0]!.key)
  await grow(1)
  await grow(255)
  await grow(44)
  await grow(725)
})
afterAll(() => service.close())

async function grow(count: number): Promise<void> {
  await onConnection(service.databaseUrl, undefined, (client) => addEntries(client, count))
  await service.app.ledger.settle()
  const { size, root } = await checkpoint()
  signed.set(size, root)
}

async function checkpoint() {
  const { body, headers } = await service.call<string>('nobody', 'GET /v1/ledger/checkpoint')
  expect(headers['content-type']).toBe('text/plain; charset=utf-8')
  await verifyNote(body, [key])
  return parseCheckpoint(parseNote(body).body)
}

/** Bytes at a path below /v1/ledger; the status where there are none. */
async function bytesAt(path: string, apiKey?: string): Promise<Buffer | number> {
  const headers = apiKey === undefined ? {} : { authorization: `Bearer ${apiKey}` }
  const { statusCode, rawPayload } = await service.app.inject({ method: 'GET', url: `/v1/ledger/${path}`, headers })
  return statusCode === 200 ? rawPayload : statusCode
}

async function tilesAt(size: number): Promise<Map<string, Buffer>> {
  const tiles = new Map<string, Buffer>()
  for (const { level, index, width } of tilesOf(size)) {
    tiles.set(`${level}/${index}`, (await bytesAt(tilePath(level, index, width))) as Buffer)
  }
  return tiles
}

describe('the tiles', () => {
  test('give the root of every checkpoint that was signed', async () => {
    expect([...signed.keys()]).toEqual([2, 257, 301, 1026])
    for (const [size, root] of signed) {
      const tiles = await tilesAt(size)
      const read = readFromTiles(size, (level, index) => tiles.get(`${level}/${index}`)!)
      expect(toHex(rootAt(size, read)), String(size)).toBe(toHex(root))
    }
  })

  test('hold the leaves of the entries that stand beneath them', async () => {
    const entries = decodeEntries((await bytesAt('tile/entries/001', service.keys.auditor)) as Buffer)
    expect(entries).toHaveLength(256)
    const tile = (await bytesAt('tile/0/001')) as Buffer
    expect(Buffer.concat(entries.map(leafHash)).equals(tile)).toBe(true)
    expect(decodeEntries((await bytesAt('tile/entries/004.p/2', service.keys.keeper)) as Buffer)).toHaveLength(2)
  })

  test.each([
    'tile/0/005',
    'tile/0/004',
    'tile/0/004.p/3',
    'tile/0/4.p/2',
    'tile/0/004.p/0',
    'tile/0/000.p/256',
    'tile/1/000.p/5',
    'tile/1/000',
    'tile/2/000.p/1',
    'tile/64/000',
    'tile/0/x000/000',
    'tile/0/',
    'tile/0/..%2f..',
    'tile/0/x999/x999/x999/x999/x999/999',
  ])('of another tree, %s, are not found', async (path) => {
    expect(await bytesAt(path)).toBe(404)
  })

  test('may be kept for good where they are full, and are found with their slashes encoded', async () => {
    const headersOf = async (url: string) => (await service.app.inject({ method: 'GET', url })).headers
    expect(await headersOf('/v1/ledger/tile/0/000')).toMatchObject({
      'cache-control': 'public, max-age=31536000, immutable',
      'content-type': 'application/octet-stream',
      'content-length': '8192',
    })
    expect(await headersOf('/v1/ledger/tile/0%2F004.p%2F2')).toMatchObject({
      'cache-control': 'public, max-age=60',
      'content-length': '64',
    })
  })

  test('of entries are for who sees all tests', async () => {
    for (const apiKey of [undefined, service.keys.firmA, service.keys.program, service.keys.admin]) {
      expect(await bytesAt('tile/entries/000', apiKey)).toBe(apiKey === undefined ? 401 : 403)
    }
    expect(await bytesAt('tile/entries/005', service.keys.auditor)).toBe(404)
  })
})

interface Inclusion {
  index: number
  size: number
  leafHash: string
  root: string
  proof: string[]
}
interface Consistency {
  fromRoot: string
  toRoot: string
  proof: string[]
}
const hashes = (texts: readonly string[]) => texts.map((text) => fromHex(text)!)

describe('proofs', () => {
  test('of inclusion hold for every size that was signed, and are those that the tiles give', async () => {
    for (const [size, root] of signed) {
      const tiles = await tilesAt(size)
      const read = readFromTiles(size, (level, index) => tiles.get(`${level}/${index}`)!)
      for (const index of [0, 1, 255, 256, 300, 1025].filter((one) => one < size)) {
        const url = `GET /v1/ledger/proofs/inclusion?index=${index}&size=${size}` as const
        const { body } = await service.call<Inclusion>('nobody', url)
        const proof = hashes(body.proof)
        expect(body.proof).toEqual(inclusionProof(index, size, read).map(toHex))
        verifyInclusion({ leafHash: fromHex(body.leafHash)!, index, size, proof, root })
      }
    }
  })

  test('of consistency hold between any two checkpoints', async () => {
    let held = 0
    for (const [from, oldRoot] of signed) {
      for (const [to, newRoot] of [...signed].filter(([size]) => size >= from)) {
        const url = `GET /v1/ledger/proofs/consistency?from=${from}&to=${to}` as const
        const { body } = await service.call<Consistency>('nobody', url)
        const proof = hashes(body.proof)
        const tiles = await tilesAt(to)
        const read = readFromTiles(to, (level, index) => tiles.get(`${level}/${index}`)!)
        expect(body.proof).toEqual(consistencyProof(from, to, read).map(toHex))
        expect([body.fromRoot, body.toRoot]).toEqual([toHex(oldRoot), toHex(newRoot)])
        verifyConsistency({ oldSize: from, oldRoot, newSize: to, newRoot, proof })
        held += 1
      }
    }
    expect(held).toBe(10)
  })

  test.each([
    ['inclusion?index=0&size=1027', 404],
    ['inclusion?index=5&size=5', 404],
    ['inclusion?index=1026', 404],
    ['inclusion?index=-1', 400],
    ['inclusion?size=1', 400],
    ['consistency?from=0', 400],
    ['consistency?from=2&to=1', 404],
    ['consistency?from=1&to=1027', 404],
    ['consistency?from=1.5', 400],
  ])('that can not be given, %s, are refused', async (query, status) => {
    expect((await service.call('nobody', `GET /v1/ledger/proofs/${query}`)).status).toBe(status)
  })
})

interface EntryPage {
  items: { index: number; leafHash: string; kind: string; test?: string; firm?: string; entry: string }[]
  next?: string
}

describe('a submitted test', () => {
  test('is promised by a receipt, covered by the next checkpoint, and found among the entries', async () => {
    const call = { body: visitSheet, headers: { 'idempotency-key': '"receipt-1"' } }
    const first = await service.call<{ id: string; ledgerIndex: number }>('firmA', 'POST /v1/tests', call)
    const { id, ledgerIndex } = first.body
    const receipt = parseReceipt(String(first.headers['ledger-receipt']))
    expect(receipt.index).toBe(ledgerIndex)
    await verifyReceipt(receipt, key)

    await service.app.ledger.settle()
    const { root, size } = await checkpoint()
    const { body } = await service.call<Inclusion>('nobody', `GET /v1/ledger/proofs/inclusion?index=${ledgerIndex}`)
    expect(body.leafHash).toBe(toHex(receipt.leafHash))
    verifyInclusion({ leafHash: receipt.leafHash, index: ledgerIndex, size, proof: hashes(body.proof), root })

    const { body: found } = await service.call<EntryPage>('auditor', `GET /v1/ledger/entries?test=${id}`)
    expect(found.items).toHaveLength(1)
    expect(found.items[0]).toMatchObject({ index: ledgerIndex, kind: 'test', test: id, firm: service.firmA })
    expect(toHex(leafHash(Buffer.from(found.items[0]!.entry)))).toBe(found.items[0]!.leafHash)

    // The repeat has the same body, and a receipt for the same place.
    const again = await service.call('firmA', 'POST /v1/tests', call)
    expect(again.body).toEqual(first.body)
    const anew = parseReceipt(String(again.headers['ledger-receipt']))
    await verifyReceipt(anew, key)
    expect([anew.index, toHex(anew.leafHash)]).toEqual([ledgerIndex, toHex(receipt.leafHash)])
  })

  test('of those stored together each has its own receipt', async () => {
    const answers = await Promise.all(
      Array.from({ length: 20 }, () =>
        service.call<{ ledgerIndex: number }>('firmA', 'POST /v1/tests', { body: visitSheet }),
      ),
    )
    const receipts = answers.map(({ headers }) => parseReceipt(String(headers['ledger-receipt'])))
    for (const [i, receipt] of receipts.entries()) {
      expect(receipt.index).toBe(answers[i]!.body.ledgerIndex)
      await verifyReceipt(receipt, key)
    }
    expect(new Set(receipts.map(({ index }) => index)).size).toBe(20)
    expect(Math.max(...receipts.map(({ count }) => count))).toBeGreaterThan(1)
  })
})

test('a firm is told the entries of its own tests alone', async () => {
  const { body } = await service.call<{ id: string }>('firmA', 'POST /v1/tests', { body: visitSheet })
  const told = async (caller: 'firmA' | 'firmB' | 'program', query = '') =>
    (await service.call<EntryPage>(caller, `GET /v1/ledger/entries${query}`)).body.items
  expect(await told('firmA', `?test=${body.id}`)).toHaveLength(1)
  for (const caller of ['firmB', 'program'] as const) expect(await told(caller, `?test=${body.id}`)).toEqual([])
  const own = await told('firmA', '?limit=200')
  expect(own.length).toBeGreaterThan(0)
  expect(new Set(own.map(({ firm }) => firm))).toEqual(new Set([service.firmA]))
})

test('entries are listed page by page, from where one asks', async () => {
  const { body: first } = await service.call<EntryPage>('auditor', 'GET /v1/ledger/entries?from=250&limit=10')
  expect(first.items.map(({ index }) => index)).toEqual(Array.from({ length: 10 }, (_, i) => 250 + i))
  const { body: second } = await service.call<EntryPage>(
    'auditor',
    `GET /v1/ledger/entries?from=250&limit=10&cursor=${first.next}`,
  )
  expect(second.items.map(({ index }) => index)).toEqual(Array.from({ length: 10 }, (_, i) => 260 + i))
  const { body: begin } = await service.call<EntryPage>('keeper', 'GET /v1/ledger/entries?limit=1')
  expect(begin.items[0]).toMatchObject({ index: 0, kind: 'signing-key' })
  expect(JSON.parse(begin.items[0]!.entry)).toMatchObject({ key: expect.stringMatching(/^liftledger\.example\+/) })
})
