import { describe, expect, test } from 'vitest'
import { makeBundle } from './bundle.ts'
import type { VerifyOptions } from './bundle-report.ts'
import { utf8 } from './bytes.ts'
import { canonicalBytes } from './canonical-json.ts'
import { checkpointBody } from './checkpoint.ts'
import { leafHash } from './entry.ts'
import { signNote } from './note.ts'
import {
  bundleOf,
  checkpointAt,
  evaluationOf,
  logSigner,
  ORIGIN,
  plainTests,
  sampleLog,
  testId,
  witnessSigner,
} from './testing/sample-bundle.ts'
import { verifyBundle } from './verify-bundle.ts'

const log = sampleLog(plainTests(9))
const options: VerifyOptions = {
  keys: [logSigner.key, witnessSigner.key],
  replay: (raw, _context, edition) => (edition === '2026-1' ? evaluationOf(raw) : undefined),
}
const comparedLog = sampleLog(plainTests(4), { withNotes: false, isCompared: true })
const codesOf = async (bytes: Uint8Array, changes: Partial<VerifyOptions> = {}): Promise<string[]> =>
  (await verifyBundle(bytes, { ...options, ...changes })).problems.map(({ code }) => code)

const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString()
/** The bundle with a text in it replaced, once. */
function edited(bytes: Uint8Array, from: string, to: string): Uint8Array {
  if (!text(bytes).includes(from)) throw new Error(`There is no '${from}' in the bundle.`)
  return utf8(text(bytes).replace(from, () => to))
}

describe('an honest bundle', () => {
  test.each([[[4]], [[0, 8]], [[2, 3, 5]], [undefined]])('of tests %j is verified', async (tests) => {
    const bytes = bundleOf(log, { since: 5, ...(tests && { tests }) })
    const report = await verifyBundle(bytes, options)
    const count = tests?.length ?? 9
    expect(report.problems).toEqual([])
    expect(report).toMatchObject({
      ok: true,
      continues: 5,
      checkpoint: {
        origin: ORIGIN,
        size: 18,
        signatures: [
          { name: ORIGIN, by: 'log' },
          { name: witnessSigner.key.name, by: 'witness', at: '2026-05-28T20:26:40.000Z' },
        ],
      },
      counts: {
        ...{ tests: count, otherEntries: count, replayed: count, identical: count, bytes: bytes.length },
        kinds: { test: count, note: count },
      },
    })
  })

  test('says which tests, whose, when, and under which edition', async () => {
    const { tests } = await verifyBundle(bundleOf(log, { tests: [3] }), options)
    expect(tests).toEqual([
      {
        ...{ index: 6, kind: 'test', id: testId(3), firm: 'frm_01JCP6WYRX0000000000000000' },
        ...{ at: '2026-05-04T09:30:00.000Z', edition: '2026-1', replay: 'identical', ok: true },
      },
    ])
  })

  test('is verified with the log’s key alone, and says what it then takes on trust', async () => {
    const report = await verifyBundle(bundleOf(log), { keys: [logSigner.key] })
    expect(report.ok).toBe(true)
    expect(report.checkpoint?.signatures[1]).toEqual({ name: witnessSigner.key.name, by: 'unknown' })
    expect(report.counts).toMatchObject({ replayed: 0, identical: 0 })
    expect(report.tests.every(({ replay }) => replay === 'not-done')).toBe(true)
  })

  test('holds the very bytes: sheet and context stand in it as they were hashed', () => {
    const { raw, context } = log.tests[0]!
    const bytes = text(bundleOf(log, { tests: [0] }))
    expect(bytes).toContain(`\n${text(raw)}\n${text(context)}\n{"at":`)
  })

  test('is the same whatever order its items come in, and as a Buffer', async () => {
    const content = { checkpoint: checkpointAt(log, 18), read: log.read }
    const bytes = makeBundle({ ...content, items: [...log.tests, ...log.others] })
    expect(makeBundle({ ...content, items: [...log.others, ...log.tests].reverse() })).toEqual(bytes)
    expect((await verifyBundle(Buffer.from(bytes), options)).ok).toBe(true)
  })

  test('of a revision is verified like one of a test', async () => {
    const { entry, ...item } = log.tests[0]!
    const members = JSON.parse(text(entry)) as Record<string, unknown>
    const revision = canonicalBytes({ ...members, kind: 'revision', revises: testId(7), reason: 'mistyped' })
    const leaf = leafHash(revision)
    const checkpoint = signNote(checkpointBody({ origin: ORIGIN, size: 1, root: leaf }), [logSigner])
    const bytes = makeBundle({ checkpoint, items: [{ ...item, entry: revision }], read: () => leaf })
    const report = await verifyBundle(bytes, options)
    expect(report.problems).toEqual([])
    expect(report.tests).toMatchObject([{ kind: 'revision', id: testId(0), replay: 'identical' }])
  })

  test('without items still shows a checkpoint', async () => {
    const report = await verifyBundle(bundleOf(log, { tests: [], since: 7 }), options)
    expect(report).toMatchObject({ ok: true, continues: 7, counts: { tests: 0 } })
  })
})

describe('a changed bundle is refused with the place', () => {
  const bytes = bundleOf(log)
  const one = async (changed: Uint8Array, changes: Partial<VerifyOptions> = {}) => {
    const { problems } = await verifyBundle(changed, { ...options, ...changes })
    expect(problems).toHaveLength(1)
    return problems[0]!
  }

  test('a reading', async () => {
    const problem = await one(edited(bytes, '"psi": 45.50', '"psi": 46.50'))
    expect(problem).toMatchObject({ code: 'raw-changed', test: testId(5), index: 10 })
    expect(text(bytes).split('\n')[problem.line! - 1]).toMatch(/^test 10 /)
  })

  test('a certificate', async () => {
    expect(await one(edited(bytes, '"T-2"', '"T-3"'))).toMatchObject({ code: 'context-changed', test: testId(2) })
  })

  test('the time of receipt, back-dated', async () => {
    expect(await one(edited(bytes, '2026-05-07T', '2026-04-07T'))).toMatchObject({
      ...{ code: 'entry-changed', index: 12, test: testId(6) },
    })
  })

  test('a test is good only if its entry is, and the log that vouches for it', async () => {
    const good = async (changed: Uint8Array): Promise<number> =>
      (await verifyBundle(changed, options)).tests.filter(({ ok }) => ok).length
    expect(await good(bytes)).toBe(9)
    expect(await good(edited(bytes, '2026-05-07T', '2026-04-07T'))).toBe(8)
    expect(await good(edited(bytes, '"psi": 45.50', '"psi": 46.50'))).toBe(8)
    expect(await good(edited(bytes, '\n18\n', '\n19\n'))).toBe(0)
  })

  test('an entry and its leaf hash together', async () => {
    const entry = edited(log.tests[6]!.entry, '2026-05-07T', '2026-04-07T')
    const items = log.tests.map((item, n) => (n === 6 ? { ...item, entry } : item))
    const forged = makeBundle({ checkpoint: checkpointAt(log, 18), items, read: log.read })
    expect(await one(forged)).toMatchObject({ code: 'inclusion-wrong' })
  })

  test('a salt', async () => {
    const salt = Buffer.from(log.tests[1]!.salt).toString('hex')
    const other = `${salt.startsWith('0') ? '1' : '0'}${salt.slice(1)}`
    expect(await codesOf(edited(bytes, salt, other))).toEqual(['raw-changed', 'context-changed'])
  })

  test('the size of the log', async () => {
    expect(await codesOf(edited(bytes, '\n18\n', '\n19\n'))).toEqual(
      expect.arrayContaining(['bundle-damaged', 'signature-wrong']),
    )
  })

  test('all problems are told, not only the first', async () => {
    const twice = edited(edited(bytes, '"psi": 45.50', '"psi": 46.50'), '2026-05-07T', '2026-04-07T')
    expect((await codesOf(edited(twice, '"T-2"', '"T-3"'))).sort()).toEqual([
      'context-changed',
      'entry-changed',
      'raw-changed',
    ])
  })

  test('an evaluation that comes out otherwise, one that fails, and an edition that is not known', async () => {
    const single = bundleOf(log, { tests: [1] })
    expect(await codesOf(single, { replay: () => utf8('{}') })).toEqual(['evaluation-differs'])
    expect(await codesOf(single, { replay: () => undefined })).toEqual(['edition-unknown'])
    const failing = (): never => {
      throw new Error('no water')
    }
    expect(await one(single, { replay: failing })).toMatchObject({
      code: 'replay-failed',
      message: expect.stringContaining('no water') as string,
    })
  })
})

describe('what comparing tests with the record found', () => {
  const bytes = bundleOf(comparedLog)

  test('is told of the tests it was found of, which are in question then', async () => {
    const report = await verifyBundle(bytes, options)
    expect(report.problems).toEqual([])
    expect(report.counts).toMatchObject({
      kinds: { test: 4, 'record-findings': 4 },
      caveats: { inQuestion: 3, unsound: 0 },
    })
    expect(report.tests[0]).not.toHaveProperty('later')
    const finding = 'readings-reused-from-another-plant'
    expect(report.tests[1]!.later).toMatchObject([
      { kind: 'record-findings', test: testId(1), found: [{ finding, severity: 'hold', place: '/runs' }] },
    ])
  })

  test('is not what was recorded once a letter, the salt or the test it is of is another', async () => {
    expect(await codesOf(edited(bytes, '"severity":"hold"', '"severity":"note"'))).toEqual(['findings-changed'])
    const { salt, findings } = comparedLog.compared[1]!
    expect(await codesOf(edited(bytes, Buffer.from(salt).toString('hex'), '0'.repeat(32)))).toEqual([
      'findings-changed',
    ])
    const other = comparedLog.compared[2]!
    const moved = { ...other, salt, findings }
    const items = [...comparedLog.tests, ...comparedLog.compared.map((one) => (one === other ? moved : one))]
    const checkpoint = checkpointAt(comparedLog, comparedLog.size)
    expect(await codesOf(makeBundle({ checkpoint, items, read: comparedLog.read }))).toEqual(['findings-changed'])
  })

  test('is missed where the entry stands without it, and refused beside an entry of another kind', async () => {
    const checkpoint = checkpointAt(comparedLog, comparedLog.size)
    const bare = comparedLog.compared.map(({ index, entry }) => ({ index, entry }))
    const items = [...comparedLog.tests, ...bare]
    const { problems } = await verifyBundle(makeBundle({ checkpoint, items, read: comparedLog.read }), options)
    expect(problems.map(({ code, test }) => [code, test])).toEqual(
      [0, 1, 2, 3].map((n) => ['findings-missing', testId(n)]),
    )
    const [first] = log.others
    const { salt, findings } = comparedLog.compared[0]!
    const dressed = { ...first!, salt, findings }
    const note = makeBundle({ checkpoint: checkpointAt(log, log.size), items: [dressed], read: log.read })
    expect(await codesOf(note)).toEqual(['entry-malformed'])
  })
})
