/**
 * An auditor's walk from a figure to the signed checkpoint: each step is one link in the answer before it. Then the same
 * once more without the service, from one file.
 */

import { atPointer } from '@liftledger/calc/testing'
import {
  formatVerifierKey,
  fromHex,
  leafHash,
  parseCheckpoint,
  parseNote,
  parseVerifierKey,
  sha256,
  verifyInclusion,
  verifyNote,
} from '@liftledger/ledger'
import { Liftledger, NotFoundError } from '@liftledger/sdk'
import { verifyBundle } from '@liftledger/sdk/verify'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../setup/service.ts'
import { registerContext, visitSheet } from '../setup/visit.ts'

let service: TestService
let auditor: Liftledger
let baseUrl: string
/** The key of the log, got by another way than the answers that it verifies. */
let logKey: string
/** The sheet as the firm's software sent it: with spaces, and figures as they were written down. */
const sent = new TextEncoder().encode(JSON.stringify(visitSheet, null, 2).replace('41.5', '41.50'))
/** Key that submitted it. */
let submitter: string
let testId: string

beforeAll(async () => {
  service = await startTestService()
  baseUrl = await service.listen()
  await registerContext(service, 'firmA')
  const client = (apiKey: string) => new Liftledger({ baseUrl, apiKey, retries: 0 })
  auditor = client(service.keys.auditor)
  const admin = client(service.keys.admin)
  for await (const key of admin.keys.list()) if (key.firmId === service.firmA) submitter = key.id
  testId = (await client(service.keys.firmA).tests.submit(sent)).id
  await service.app.ledger.settle()
  logKey = (await auditor.ledger.keys()).items[0]!.key
})
afterAll(() => service.close())

/** What a link leads to, asked as anyone could. */
async function follow(link: string): Promise<Response> {
  const [path] = link.split('#')
  const response = await fetch(baseUrl + path, { headers: { authorization: `Bearer ${service.keys.auditor}` } })
  expect(response.status, link).toBe(200)
  return response
}
const json = async <T>(link: string): Promise<T> => (await follow(link)).json() as Promise<T>
const bytesOf = async (response: Response): Promise<Uint8Array> => new Uint8Array(await response.arrayBuffer())
const parsed = (bytes: Uint8Array): unknown => JSON.parse(new TextDecoder().decode(bytes))
const hexOf = (...parts: Uint8Array[]): string => Buffer.from(sha256(...parts)).toString('hex')

/** What stands behind `#` of a link, in what the link leads to. */
const within = (body: unknown, link: string): unknown => atPointer(body, link.slice(link.indexOf('#') + 1))

/** The link of a relation in the `Link` field of an answer. */
function related(response: Response, relation: string): string {
  const links = response.headers.get('link') ?? ''
  const found = new RegExp(`<([^>]+)>; rel="${relation}"`).exec(links)?.[1]
  if (found === undefined) throw new Error(`No link '${relation}' in '${links}'.`)
  return found
}

const digestOf = (bytes: Uint8Array): string => `sha-256=:${Buffer.from(sha256(bytes)).toString('base64')}:`

/** A test in a bundle, read by the lengths on its line as anyone would who has the format and no reader of ours. */
function itemOf(file: Uint8Array, index: number) {
  const line = new RegExp(`^test ${index} [0-9a-f]{64} ([0-9a-f]{32}) (\\d+) (\\d+) (\\d+)\n`, 'm')
  const found = line.exec(Buffer.from(file).toString('latin1'))!
  let at = found.index + found[0].length
  const [raw, context, text] = found.slice(2).map((length) => {
    const part = file.subarray(at, at + Number(length))
    at += Number(length) + 1
    return part
  })
  return { salt: fromHex(found[1]!)!, raw: raw!, context: context!, text: text! }
}

type Shapes = {
  readonly test: Awaited<ReturnType<Liftledger['tests']['get']>>
  readonly trace: Awaited<ReturnType<Liftledger['tests']['trace']>>
  readonly versions: Awaited<ReturnType<Liftledger['tests']['versions']>>
  readonly entries: Awaited<ReturnType<Liftledger['ledger']['entries']>>
  readonly proof: Awaited<ReturnType<Liftledger['ledger']['inclusion']>>
}

/** Each step stands on a link of the one before. */
describe('an auditor walks', () => {
  let stored: Shapes['test']
  let trace: Shapes['trace']
  let sheet: Uint8Array
  let sheetAnswer: Response
  let contextAnswer: Response
  let version: Shapes['versions']['versions'][number]
  let entry: Shapes['entries']['items'][number]
  let proof: Shapes['proof']

  test('from the list to the test, with its efficiency', async () => {
    const { items } = await auditor.tests.list()
    expect(items.map(({ id }) => id)).toEqual([testId])
    stored = await auditor.tests.get(items[0]!.id)
    expect(stored.replay).toBe('identical')
    expect(await json(stored.links.self)).toEqual(stored)
  })

  test('to how the efficiency follows from readings', async () => {
    trace = await json(stored.links.efficiency)
    const result = stored.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!
    expect([trace.quantity, trace.value, trace.unit, trace.replay]).toEqual([
      'overall-plant-efficiency',
      result.value,
      result.unit,
      'identical',
    ])
    // Every leaf that was read has its place; those of edition and plant record are none.
    const read = trace.nodes.filter(({ id }) => id === 'reading').map(({ node }) => node)
    expect(trace.readings.map(({ node }) => node)).toEqual(read)
    expect(read.length).toBeGreaterThan(30)
  })

  /** The third point of the second traverse. */
  const manometer = () => {
    const leaf = trace.nodes.find(({ reading }) => reading?.place === '/runs/0/flow/diameters/1/points/2')!
    return { leaf, found: trace.readings.find(({ node }) => node === leaf.node)! }
  }

  test('to the manometer reading, in the very bytes that were sent', async () => {
    const { leaf, found } = manometer()
    sheetAnswer = await follow(found.link)
    sheet = await bytesOf(sheetAnswer)
    expect(Buffer.from(sheet).equals(sent)).toBe(true)
    expect(sheetAnswer.headers.get('content-type')).toMatch(/^application\/json/)
    expect(sheetAnswer.headers.get('repr-digest')).toBe(digestOf(sheet))
    expect(hexOf(sheet)).toBe(stored.rawSha256)
    expect(within(parsed(sheet), found.link)).toEqual({ value: 4.3, unit: 'in' })
    expect([leaf.reading!.value, leaf.reading!.unit]).toEqual([4.3, 'in'])
    // And so does every other reading stand where the trace says.
    for (const { node, link } of trace.readings) {
      const { value, unit } = trace.nodes[node]!.reading!
      expect(within(parsed(sheet), link), link).toMatchObject({ value, unit })
    }
  })

  test('to the certificate of the manometer, which covers the day of the visit', async () => {
    const { found } = manometer()
    expect(found.instrument).toBe('pitot-1')
    contextAnswer = await follow(found.certificate!)
    const context = await bytesOf(contextAnswer)
    expect(contextAnswer.headers.get('repr-digest')).toBe(digestOf(context))
    expect(hexOf(context)).toBe(stored.contextSha256)
    const instrument = within(parsed(context), found.certificate!) as {
      code: string
      kind: string
      certificate: { number: string; validFrom: string; validUntil: string }
    }
    expect([instrument.code, instrument.kind]).toEqual([found.instrument, 'pitot-tube-and-manometer'])
    const { validFrom, validUntil } = instrument.certificate
    expect(validFrom <= stored.testedOn && stored.testedOn <= validUntil).toBe(true)
    // The sheet leads there too, for who does not come by a trace.
    expect(related(sheetAnswer, 'describedby')).toBe(found.certificate!.split('#')[0])
  })

  test('to who submitted it, for which firm, and when', async () => {
    const { versions } = await json<Shapes['versions']>(related(contextAnswer, 'version-history'))
    version = versions[0]!
    expect(versions).toHaveLength(1)
    expect([version.id, version.submittedBy, version.firmId]).toEqual([testId, submitter, service.firmA])
    expect(version.receivedAt).toBe(stored.receivedAt)
  })

  test('to the entry in the ledger, which says the same', async () => {
    const { items } = await json<Shapes['entries']>(version.links.entries)
    expect(items).toHaveLength(1)
    entry = items[0]!
    expect([entry.kind, entry.index, entry.test, entry.firm]).toEqual([
      'test',
      stored.ledgerIndex,
      testId,
      service.firmA,
    ])
    const { at, subject, firm, edition } = JSON.parse(entry.entry) as Record<string, string>
    expect([at, subject, firm, edition]).toEqual([version.receivedAt, testId, version.firmId, stored.edition])
    expect(Buffer.from(leafHash(new TextEncoder().encode(entry.entry))).toString('hex')).toBe(entry.leafHash)
    expect(stored.links.entries).toBe(version.links.entries)
  })

  test('to the proof that the entry is in the log', async () => {
    proof = await json(entry.links.inclusion)
    expect([proof.index, proof.leafHash]).toEqual([entry.index, entry.leafHash])
    expect(() =>
      verifyInclusion({
        leafHash: fromHex(proof.leafHash)!,
        index: proof.index,
        size: proof.size,
        proof: proof.proof.map((hash) => fromHex(hash)!),
        root: fromHex(proof.root)!,
      }),
    ).not.toThrow()
  })

  test('to the checkpoint over that tree, signed with the published key', async () => {
    const note = await (await follow(proof.links.checkpoint)).text()
    const signers = await verifyNote(note, [parseVerifierKey(logKey)])
    expect(signers.map(formatVerifierKey)).toEqual([logKey])
    const { size, root } = parseCheckpoint(parseNote(note).body)
    expect([size, Buffer.from(root).toString('hex')]).toEqual([proof.size, proof.root])
    expect(await auditor.ledger.checkpoint()).toBe(note)
  })

  test('and takes one file along in which all of it stands, to be verified without the service', async () => {
    expect(entry.links.bundle).toBe(stored.links.bundle)
    const file = await bytesOf(await follow(entry.links.bundle!))
    const report = await verifyBundle(file, { keys: [logKey] })
    expect(report.problems).toEqual([])
    expect([report.ok, report.counts.tests, report.counts.identical]).toEqual([true, 1, 1])
    expect(report.checkpoint).toMatchObject({ size: proof.size, root: proof.root })
    // The hashes of the entry are over the salt and the bytes: the salt is in the file alone.
    const { salt, raw, context, text } = itemOf(file, entry.index)
    expect(Buffer.from(raw).equals(sheet)).toBe(true)
    expect(Buffer.from(text).toString()).toBe(entry.entry)
    const said = JSON.parse(entry.entry) as { rawSha256: string; contextSha256: string }
    expect([said.rawSha256, said.contextSha256]).toEqual([hexOf(salt, raw), hexOf(salt, context)])
  })

  test('and finds one changed digit of the manometer in it', async () => {
    const text = Buffer.from(await bytesOf(await follow(stored.links.bundle))).toString('latin1')
    const at = text.indexOf('"value": 4.3,')
    const tampered = Buffer.from(`${text.slice(0, at)}"value": 4.8,${text.slice(at + 13)}`, 'latin1')
    const report = await verifyBundle(tampered, { keys: [logKey] })
    expect(report.ok).toBe(false)
    expect(report.problems.map(({ code, test: about }) => [code, about])).toEqual([['raw-changed', testId]])
    expect(report.problems[0]!.message).toContain('not the one that was received')
  })
})

describe('the sheet and context of a test', () => {
  test('are read by its firm too, for good, and by nobody who may not see the test', async () => {
    const own = new Liftledger({ baseUrl, apiKey: service.keys.firmA, retries: 0 })
    const answer = await own.tests.sheet(testId).withResponse()
    expect(Buffer.from(answer.bytes).equals(sent)).toBe(true)
    expect(answer.data).toEqual(JSON.parse(Buffer.from(sent).toString()))
    expect(answer.response.headers.get('cache-control')).toContain('immutable')
    expect((await own.tests.context(testId)).instruments.map(({ code }) => code)).toContain('pitot-1')
    for (const caller of ['firmB', 'program'] as const) {
      const other = new Liftledger({ baseUrl, apiKey: service.keys[caller], retries: 0 })
      await expect(other.tests.sheet(testId)).rejects.toThrow(NotFoundError)
      await expect(other.tests.context(testId)).rejects.toThrow(NotFoundError)
    }
  })

  test('come as they are, however much the caller would like them packed, and once', async () => {
    const ask = (headers: Record<string, string>) =>
      service.call('auditor', `GET /v1/tests/${testId}/sheet`, { headers: { 'accept-encoding': 'gzip', ...headers } })
    const { headers } = await ask({})
    expect(headers['content-encoding']).toBeUndefined()
    expect(headers['content-length']).toBe(String(sent.length))
    expect((await ask({ 'if-none-match': String(headers.etag) })).status).toBe(304)
  })
})

test('a checkpoint of a size that was never signed is not there', async () => {
  await expect(auditor.ledger.checkpoint({ size: 999_999 })).rejects.toThrow(NotFoundError)
})
