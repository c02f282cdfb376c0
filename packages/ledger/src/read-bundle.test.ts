import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { utf8 } from './bytes.ts'
import { BundleError, readBundle } from './read-bundle.ts'
import { bundleOf, evaluationOf, logSigner, plainTests, sampleLog, witnessSigner } from './testing/sample-bundle.ts'
import { verifyBundle } from './verify-bundle.ts'

const log = sampleLog(plainTests(5))
const bytes = bundleOf(log, { since: 3, tests: [0, 2, 3] })
const text = Buffer.from(bytes).toString()
const options = {
  keys: [logSigner.key, witnessSigner.key],
  replay: (raw: Uint8Array) => evaluationOf(raw),
}

describe('what is no bundle is refused with its line', () => {
  const salted = /^test 0 [0-9a-f]{64} [0-9a-f]{32} \d+ \d+ \d+$/m
  test.each([
    ['nothing', '', 1],
    ['another file', '{"tests":[]}', 1],
    ['another version', text.replace('/v1', '/v2'), 1],
    ['lines ended by two characters', text.replaceAll('\n', '\r\n'), 1],
    ['a byte order mark', `\ufeff${text}`, 1],
    ['no checkpoint', text.replace('checkpoint ', 'checkpoints '), 2],
    ['a length with a zero before it', text.replace('checkpoint ', 'checkpoint 0'), 2],
    ['a length with a sign', text.replace('checkpoint ', 'checkpoint +'), 2],
    ['a length in capitals', text.replace(/^checkpoint \d+/m, 'checkpoint ABC'), 2],
    ['a number of items too high', text.replace('items 6 ', 'items 7 '), undefined],
    ['a number of items too low', text.replace('items 6 ', 'items 5 '), undefined],
    [
      'a number of hashes too high',
      text.replace(/^inclusion (\d+)/m, (_, n) => `inclusion ${Number(n) + 1}`),
      undefined,
    ],
    ['a hash in capitals', text.replace(/^[0-9a-f]{64}$/m, (hash) => hash.toUpperCase()), undefined],
    ['a salt in capitals', text.replace(salted, (line) => line.toUpperCase().replace('TEST', 'test')), undefined],
    ['two spaces', text.replace('test 0 ', 'test 0  '), undefined],
    ['something behind its end', `${text}\n`, undefined],
    ['no end', text.slice(0, -4), undefined],
    ['an item of another name', text.replace('entry 1 ', 'entity 1 '), undefined],
    ['an endless entry', text.replace(/^(entry 1 [0-9a-f]{64}) \d+$/m, '$1 4001'), undefined],
    [
      'an endless sheet',
      text.replace(salted, (line) => line.replace(/ \d+ (\d+ \d+)$/, ' 999999999999999 $1')),
      undefined,
    ],
    ['a number of 16 digits', text.replace(/^test 0/m, 'test 1234567890123456'), undefined],
  ])('%s', async (_, changed, line) => {
    expect(changed).not.toBe(text)
    expect(() => readBundle(utf8(changed))).toThrow(BundleError)
    const report = await verifyBundle(utf8(changed), options)
    expect(report.ok).toBe(false)
    expect(report.problems).toMatchObject([{ code: 'bundle-malformed' }])
    if (line !== undefined) expect(report.problems[0]?.line).toBe(line)
  })

  test.each([
    ['line ends', text.replaceAll('\n', '\r\n'), 'its line ends were changed'],
    ['an item taken out', text.replace(/^entry 1 .*\n.*\n/m, ''), '6 items are announced, but only 5 are there'],
    ['an item put in', text.replace('items 6 ', 'items 5 '), '5 items are announced, but 6 are there'],
    [
      'its end cut off in a body',
      text.slice(0, text.indexOf('\n', text.indexOf('\nentry 1 ') + 1) + 20),
      'and 1 are there whole',
    ],
    ['its end cut off', text.slice(0, text.indexOf('\nentry 1 ') + 20), '6 items are announced, and 1 are there whole'],
  ])('%s: the message says what it comes to', (_, changed, says) => {
    expect(() => readBundle(utf8(changed))).toThrow(says)
  })

  test('cut anywhere', () => {
    for (let length = 0; length < bytes.length; length++) {
      expect(() => readBundle(bytes.subarray(0, length)), `${length}`).toThrow(BundleError)
    }
  })
})

describe('every byte is covered', () => {
  // With what comparing the tests found.
  const bytes = bundleOf(sampleLog(plainTests(5), { isCompared: true }), { since: 3, tests: [0, 2, 3] })
  const flipped = (bit: number): Uint8Array => bytes.map((byte, i) => (i === bit >> 3 ? byte ^ (1 << (bit & 7)) : byte))

  test('one bit flipped anywhere is found', async () => {
    await fc.assert(
      fc.asyncProperty(fc.nat(bytes.length * 8 - 1), async (bit) => {
        const { ok, problems } = await verifyBundle(flipped(bit), options)
        expect(ok).toBe(false)
        expect(problems.length).toBeGreaterThan(0)
      }),
      { numRuns: 1_500 },
    )
  })

  test('also without the calculation and with the key of the log alone', async () => {
    await fc.assert(
      fc.asyncProperty(fc.nat(bytes.length * 8 - 1), async (bit) => {
        expect((await verifyBundle(flipped(bit), { keys: [logSigner.key] })).ok).toBe(false)
      }),
      { numRuns: 1_000 },
    )
  })

  test('a byte changed, left out or put in is found', async () => {
    const edit = fc.record({
      at: fc.nat(bytes.length - 1),
      byte: fc.nat(255),
      how: fc.constantFrom('set', 'remove', 'insert'),
    })
    await fc.assert(
      fc.asyncProperty(edit, async ({ at, byte, how }) => {
        fc.pre(how !== 'set' || bytes[at] !== byte)
        const [before, behind] = [bytes.subarray(0, at), bytes.subarray(how === 'insert' ? at : at + 1)]
        const changed = Uint8Array.of(...before, ...(how === 'remove' ? [] : [byte]), ...behind)
        expect((await verifyBundle(changed, options)).ok).toBe(false)
      }),
      { numRuns: 1_500 },
    )
  })

  test('any bytes at all are answered with a report', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 300 }), async (other) => {
        expect((await verifyBundle(other, options)).ok).toBe(false)
      }),
    )
  })
})
