import { execFile } from 'node:child_process'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { goldenCases } from '@liftledger/calc/testing'
import { canonicalBytes, formatVerifierKey } from '@liftledger/ledger'
import {
  bundleOf,
  checkpointAt,
  decisionOn,
  logSigner,
  PROGRAM,
  plainTests,
  revisionOf,
  sampleLog,
  testId,
  withdrawalOf,
  witnessSigner,
} from '@liftledger/ledger/testing'
import { describe, expect, onTestFinished, test } from 'vitest'
import { precheck } from '../precheck.ts'
import { main } from './main.ts'
import { printable } from './verify-report.ts'

const log = sampleLog(
  goldenCases('2026-1')
    .slice(0, 3)
    .map(({ sheet, context }) => ({
      raw: Buffer.from(JSON.stringify(sheet)),
      context: canonicalBytes(context),
      evaluation: canonicalBytes(precheck(sheet, context, { edition: '2026-1' })),
      edition: '2026-1',
    })),
)
const key = formatVerifierKey(logSigner.key)
const good = bundleOf(log, { tests: [1, 2], since: 2 })
const changed = Buffer.from(
  Buffer.from(good)
    .toString()
    .replace(/"value":(\d)/, (_, digit) => `"value":${(Number(digit) + 1) % 10}`),
)

const spoiled = Buffer.from(good)
  .toString()
  .replace(/(— \S+ .{20})(.)/, (_, before, sign) => before + (sign === 'A' ? 'B' : 'A'))
const became = [
  ...[decisionOn(2, 'does-not-stand'), decisionOn(2, 'stands')],
  ...[revisionOf(0, 7), withdrawalOf(1), withdrawalOf(7)],
]

const files: Readonly<Record<string, Uint8Array>> = {
  'good.bundle': good,
  'changed.bundle': changed,
  'plain.bundle': bundleOf(sampleLog(plainTests(30))),
  'later.bundle': bundleOf(sampleLog(plainTests(3), { became })),
  'many.bundle': bundleOf(sampleLog(plainTests(30), { became: [withdrawalOf(9)] })),
  'spoiled.bundle': Buffer.from(spoiled),
  'checkpoint-2': Buffer.from(checkpointAt(log, 2)),
  'checkpoint-3': Buffer.from(checkpointAt(log, 3)),
}

/** The command on these files: exit code and what it wrote. */
async function liftledger(...args: string[]): Promise<{ code: number; out: string; error: string }> {
  const [out, error]: [string[], string[]] = [[], []]
  const code = await main(args, {
    out: (line) => out.push(line),
    error: (line) => error.push(line),
    read: async (path) => {
      const file = files[path]
      if (file === undefined) throw new Error('no such file')
      return file
    },
  })
  return { code, out: out.join('\n'), error: error.join('\n') }
}

describe('liftledger verify', () => {
  test('says what was verified, and ends with 0', async () => {
    const { code, out, error } = await liftledger('verify', 'good.bundle', '--key', key)
    expect([code, error]).toEqual([0, ''])
    expect(out).toContain(`Log          ${logSigner.key.name}, 6 entries`)
    expect(out).toContain(`Signed by    ${logSigner.key.name}`)
    expect(out).toContain(`Not checked  signature of ${witnessSigner.key.name}: no key given`)
    expect(out).toContain('Continues    the log of 2 entries')
    expect(out).toContain(
      `ok ${testId(1)}  received 2026-05-02 09:30:00 UTC, edition 2026-1, evaluated again: identical`,
    )
    expect(out).toContain('Entries      2 tests, 2 notes')
    expect(out).toMatch(/^VERIFIED.*the same evaluation\.$/m)
    expect(out.split('\n').at(-1)).toMatch(/in the file, up to log size 6\. .*\/v1\/ledger\/entries\?test=/)
  })

  test('says when the witness saw it, if the witness is trusted', async () => {
    const keys = ['--key', key, '--key', formatVerifierKey(witnessSigner.key)]
    const { out } = await liftledger('verify', 'good.bundle', ...keys)
    expect(out).toContain(`Witness      ${witnessSigner.key.name}, 2026-05-28 20:26:40 UTC`)
  })

  test('says what is wrong and where, and ends with 1', async () => {
    const { code, out } = await liftledger('verify', 'changed.bundle', '--key', key)
    expect(code).toBe(1)
    expect(out).toContain('NOT VERIFIED: 1 problem')
    expect(out).toMatch(new RegExp(`raw-changed \\(line \\d+, ${testId(1)}\\)`))
    expect(out).toContain(`-- ${testId(1)}`)
    expect(out).toContain(`ok ${testId(2)}`)
  })

  test('does not evaluate again if asked not to', async () => {
    const { code, out } = await liftledger('verify', 'plain.bundle', '--key', key, '--no-replay')
    expect(code).toBe(0)
    expect(out).toContain('Tests        30, of which 0 evaluated again, 0 identical')
    expect(out).not.toContain(testId(0))
    expect(out).toMatch(/^VERIFIED: .*The calculation was not repeated\.$/m)
  })

  test('holds the file against a checkpoint that was kept', async () => {
    expect((await liftledger('verify', 'good.bundle', '--key', key, '--since', 'checkpoint-2')).code).toBe(0)
    const { code, out } = await liftledger('verify', 'good.bundle', '--key', key, '--since', 'checkpoint-3')
    expect(code).toBe(1)
    expect(out).toContain('consistency-missing')
  })

  test('says what the tests are and what came out, to be held against a figure on paper', async () => {
    const { out } = await liftledger('verify', 'good.bundle', '--key', key)
    const { sheet, context } = goldenCases('2026-1')[1]!
    const { results, soundness } = precheck(sheet, context, { edition: '2026-1' })
    const { value, expandedUncertainty } = results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!
    expect(out).toContain(`plant ${sheet.plant}, tested on ${sheet.testedOn} by ${sheet.tester}`)
    const figure = `${(100 * value).toFixed(2)} % ± ${(100 * expandedUncertainty).toFixed(2)} %`
    expect(out).toContain(`overall plant efficiency ${figure}, ${soundness.replace('-', ' ')} by its findings`)
    const withoutReplay = await liftledger('verify', 'good.bundle', '--key', key, '--no-replay')
    expect(withoutReplay.out).toContain(`plant ${sheet.plant}, tested on ${sheet.testedOn}`)
    expect(withoutReplay.out).not.toContain('overall plant efficiency')
  })

  test('spells the root as the checkpoint does, too', async () => {
    const { out } = await liftledger('verify', 'good.bundle', '--key', key)
    expect(out).toContain(`${checkpointAt(log, 6).split('\n')[2]} as the checkpoint spells it`)
  })

  test('says of each test what became of it, and in the verdict', async () => {
    const { code, out } = await liftledger('verify', 'later.bundle', '--key', key, '--no-replay')
    expect(code).toBe(0)
    const marked = out.split('\n').filter((line) => line.startsWith('   ! '))
    expect(marked).toEqual([
      `   ! superseded by ${testId(7)} on 2026-06-09 08:00:00 UTC (misread)`,
      `   ! ${testId(7)}: withdrawn on 2026-06-10 08:00:00 UTC (sent-twice)`,
      `   ! withdrawn on 2026-06-10 08:00:00 UTC (sent-twice)`,
      `   ! hold power-swings (run 1, /runs/0/power): stands, by program ${PROGRAM} on 2026-06-08 08:00:00 UTC`,
    ])
    expect(out).toMatch(
      /^VERIFIED; 1 of 3 tests was withdrawn, 1 was superseded, 1 has a hold that stands\. Otherwise: /m,
    )
    expect(out).toContain('3 tests, 3 notes, 2 decisions on findings, 1 revision, 2 withdrawals')
    const { out: json } = await liftledger('verify', 'later.bundle', '--key', key, '--no-replay', '--json')
    expect(JSON.parse(json)).toMatchObject({
      counts: { caveats: { withdrawn: 1, superseded: 1, holdStands: 1 } },
      tests: [{ later: [{ supersededBy: testId(7) }, { test: testId(7) }] }, { later: [{ reason: 'sent-twice' }] }, {}],
    })
  })

  test('names in a long list only the tests that there is something to say of', async () => {
    const { out } = await liftledger('verify', 'many.bundle', '--key', key, '--no-replay')
    expect(out.split('\n').filter((line) => line.startsWith('  ok '))).toHaveLength(1)
    expect(out).toContain(`ok ${testId(9)}`)
    expect(out).toContain('VERIFIED; 1 of 30 tests was withdrawn.')
  })

  test('tells a signature under a given key that does not fit from one without a key', async () => {
    const { code, out } = await liftledger('verify', 'spoiled.bundle', '--key', key)
    expect(code).toBe(1)
    expect(out).toContain(`Does not fit signature of ${logSigner.key.name}`)
    expect(out).toContain(`Not checked  signature of ${witnessSigner.key.name}: no key given`)
  })

  test('gives the report as JSON', async () => {
    const { code, out } = await liftledger('verify', 'changed.bundle', '--key', key, '--json')
    expect(code).toBe(1)
    expect(JSON.parse(out)).toMatchObject({ ok: false, problems: [{ code: 'raw-changed', test: testId(1) }] })
  })

  test('shortens a long list of problems', async () => {
    const { code, out } = await liftledger('verify', 'plain.bundle', '--key', key)
    expect(code).toBe(1)
    expect(out).toContain('NOT VERIFIED: 30 problems')
  })

  test.each([
    [['verify'], 'Name one file.'],
    [['verify', 'a', 'b', '--key', key], 'Name one file.'],
    [['verify', 'good.bundle'], '--key'],
    [['verify', 'absent.bundle', '--key', key], 'absent.bundle can not be read: no such file'],
    [['verify', 'good.bundle', '--key', 'nonsense'], "'nonsense' is not a verifier key"],
    [['verify', 'good.bundle', '--key', key, '--sinse', 'x'], '--sinse'],
    [['verify', 'good.bundle', '--key', key, '--since', 'good.bundle'], 'can not be read'],
    [['verfy'], "There is no command 'verfy'"],
    [['toString'], "There is no command 'toString'"],
  ])('%j is not tried and ends with 2', async (args, says) => {
    const { code, out, error } = await liftledger(...args)
    expect([code, out]).toEqual([2, ''])
    expect(error).toContain(says)
  })

  test('explains itself', async () => {
    expect(await liftledger('verify', '--help')).toMatchObject({ code: 0, out: expect.stringContaining('--since') })
    expect(await liftledger('--help')).toMatchObject({ code: 0, out: expect.stringContaining('verify') })
    expect((await liftledger()).code).toBe(2)
  })

  test('lets no file steer the terminal', () => {
    expect(printable('a\u001b[31mred\u0007\u202e\n')).toBe('a\ufffd[31mred\ufffd\ufffd\ufffd')
  })

  test('runs as a program', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'liftledger-'))
    onTestFinished(() => rm(folder, { recursive: true }))
    const program = join(import.meta.dirname, '../../bin/liftledger.js')
    const run = async (bytes: Uint8Array): Promise<{ code: number; out: string }> => {
      const file = join(folder, 'one.bundle')
      await writeFile(file, bytes)
      return promisify(execFile)(process.execPath, [program, 'verify', file, '--key', key]).then(
        ({ stdout }) => ({ code: 0, out: stdout }),
        ({ code, stdout }: { code: number; stdout: string }) => ({ code, out: stdout }),
      )
    }
    expect(await run(good)).toMatchObject({ code: 0, out: expect.stringContaining('VERIFIED') })
    expect(await run(changed)).toMatchObject({ code: 1, out: expect.stringContaining('raw-changed') })
  }, 20_000)
})
