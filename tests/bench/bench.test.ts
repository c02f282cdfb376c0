import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { text } from 'node:stream/consumers'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { alternate, type Figure, perCpuSecond, ROUNDS, ratios, spreadOf } from './rounds.ts'

const MAIN = fileURLToPath(new URL('./main.ts', import.meta.url))

/** Runs the bench as a person would. */
async function bench(...flags: string[]): Promise<{ code: number; said: string; complained: string }> {
  const child = spawn(process.execPath, [MAIN, ...flags], { stdio: ['ignore', 'pipe', 'pipe'] })
  const [said, complained, [code]] = await Promise.all([text(child.stdout), text(child.stderr), once(child, 'exit')])
  return { code, said, complained }
}

describe('the quick bench of evaluation', () => {
  let folder: string
  let said: string
  let figures: Figure[]
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'liftledger-bench-test-'))
    const file = join(folder, 'out.json')
    const run = await bench('--quick', '--only', 'evaluate', '--json', file)
    expect(run.complained).toBe('')
    expect(run.code).toBe(0)
    said = run.said
    const written = JSON.parse(await readFile(file, 'utf8')) as { results: Figure[] }
    expect(Object.keys(written)).toEqual(['results'])
    figures = written.results
  }, 60_000)
  afterAll(() => rm(folder, { recursive: true, force: true }))

  // How fast it was is no matter of a test: machines differ, and this one is busy with other tests.
  test('writes each figure with its value, unit, goal and direction', () => {
    const shapes = figures.map(({ id, unit, goal, better }) => ({ id, unit, goal, better }))
    expect(shapes).toEqual([
      { id: 'evaluate.per-core', unit: '1/s', goal: 20_000, better: 'higher' },
      { id: 'evaluate.per-core.with-parsing', unit: '1/s', goal: null, better: 'higher' },
      { id: 'evaluate.vs-units-library', unit: '×', goal: 100, better: 'higher' },
      { id: 'evaluate.vs-units-library.with-sensitivities', unit: '×', goal: null, better: 'higher' },
    ])
    for (const { id, value } of figures) {
      expect(Number.isFinite(value), id).toBe(true)
      expect(value, id).toBeGreaterThan(0)
    }
  })

  test('says each figure with its spread, its goal and what it was compared with', () => {
    for (const { id } of figures)
      expect(said).toMatch(new RegExp(`^${id.replaceAll('.', '\\.')}  .*\\[.* – .*\\]  `, 'm'))
    expect(said).toMatch(/mathjs \d+\.\d+\.\d+/)
    expect(said).toMatch(/^\d{4}-\d\d-\d\d, Node v\d+/m)
  })
})

test('a figure that does not exist is refused with those that do', async () => {
  const { code, complained } = await bench('--only', 'nothing')
  expect(code).toBe(1)
  expect(complained).toContain(
    'there are evaluate.per-core, evaluate.vs-units-library, verify.vs-hash, start.cold, submit.vs-naive-insert, submit.two-processes, read.vs-echo, trace.vs-echo',
  )
})

describe('rounds', () => {
  test('alternate: each contestant once a round, every other round backwards', async () => {
    const order: string[] = []
    const measured = await alternate(['a', 'b'].map((name) => async () => order.push(name)))
    expect(order.join('')).toBe('abbaabbaab'.slice(0, 2 * ROUNDS))
    expect(measured).toEqual([
      [1, 4, 5, 8, 9],
      [2, 3, 6, 7, 10],
    ])
  })

  test('are summed up by their median and both ends', () => {
    expect(spreadOf([5, 1, 4, 2, 3])).toEqual({ median: 3, least: 1, most: 5 })
    expect(spreadOf([1, 2, 3, 10])).toEqual({ median: 2.5, least: 1, most: 10 })
  })

  test('are divided round by round', () => {
    expect(ratios([2, 6, 20], [1, 2, 10])).toEqual({ median: 2, least: 2, most: 3 })
  })

  test('are counted for each second of CPU time and of the clock', () => {
    let runs = 0
    const { perCpuS, perClockS } = perCpuSecond(() => {
      runs++
    }, 20)
    expect(runs).toBeGreaterThan(0)
    expect(perCpuS).toBeGreaterThan(0)
    expect(perClockS).toBeGreaterThan(0)
  })
})
