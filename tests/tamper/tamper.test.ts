/** A small run of the tampering trials: some of everything that is covered, each found with its place. `npm run tamper` does all. */
import { afterAll, beforeAll, expect, inject, test } from 'vitest'
import { auditDatabase } from '../../packages/service/src/audit/audit.ts'
import { asAdmin, type Benches, honestDatabase, openBenches, urlOf } from './benches.ts'
import { tryInBundles } from './bundles.ts'
import { Chance } from './chance.ts'
import { targetsIn } from './changes.ts'
import { reportOf } from './report.ts'
import { tryOnce } from './trials.ts'

const SEED = 20_260_504
const name = `${inject('templateName')}_tamper`
let benches: Benches
beforeAll(async () => {
  await honestDatabase(inject('adminUrl'), { name, tests: 120, seed: SEED })
  benches = await openBenches(inject('adminUrl'), { name, seed: SEED })
}, 120_000)
afterAll(async () => {
  await benches?.close()
  await asAdmin(inject('adminUrl'), (admin) => admin.query(`drop database if exists ${name} with (force)`))
})

test('an honest record raises nothing', async () => {
  const { counts, findings } = await auditDatabase(urlOf(inject('adminUrl'), name))
  expect(findings).toEqual([])
  // Something of everything is there, or nothing was tried.
  for (const [what, count] of Object.entries(counts!)) expect({ what, some: count > 10 }).toEqual({ what, some: true })
  expect(counts!.entries).toBeGreaterThan(256)
})

test('every single change in SQL is found, with its place', { timeout: 180_000 }, async () => {
  const { bench } = benches
  const chance = new Chance(SEED)
  const targets = targetsIn(bench.columns)
  expect(targets.length).toBeGreaterThan(180)
  const outcomes = []
  // One of each column and kind would take long: a third, drawn anew with the seed.
  for (const target of targets) {
    if (chance.below(3) > 0) continue
    const outcome = await tryOnce(bench, target)
    if (outcome !== undefined) outcomes.push(outcome)
  }
  const report = reportOf(SEED, outcomes)
  expect(report.missed).toEqual([])
  expect(report.tried).toBeGreaterThan(50)
  expect(report).toMatchObject({ found: report.tried, placed: report.tried })
})

test('every single change in a bundle is found, with its place', async () => {
  const report = reportOf(SEED, await tryInBundles({ seed: SEED, trials: 40 }))
  expect(report.missed).toEqual([])
  expect(report).toMatchObject({ found: report.tried, placed: report.tried })
})

test('a trial sees what it looks for: a change that nothing covers is told as missed', async () => {
  const { bench } = benches
  const blind = await tryOnce(bench, { kind: 'update', table: 'field_test', column: 'key_id' })
  expect(blind).toMatchObject({ found: false, placed: false })
  expect(blind?.missed).toContain('key_id')
})
