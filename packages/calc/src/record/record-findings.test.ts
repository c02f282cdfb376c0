/** Every record finding is listed, complete, in force in the edition, and does what its examples say. */
import { readdirSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { edition20261 } from '../editions/2026-1.ts'
import type { Limit } from '../editions/edition.ts'
import { SEVERITIES } from '../evaluation.ts'
import { FINDING_GROUPS, limitValues } from '../findings/finding.ts'
import { findings } from '../findings/list.ts'
import { sayIn } from '../findings/say.ts'
import { Sheet } from '../sheet.ts'
import { recordFindingList } from './findings/list.ts'
import type { AnyRecordFinding, Figures } from './record-finding.ts'

const LONGEST_TEXT = 600
const limitsOfEdition: Readonly<Record<string, Limit>> = edition20261.limits
const byId = new Map(recordFindingList.map((finding) => [finding.id, finding]))
const us = sayIn({ length: 'ft', shortLength: 'in', pressure: 'psi', flow: 'gpm', velocity: 'ft/s', power: 'kW' })
const metric = sayIn({ length: 'm', shortLength: 'mm', pressure: 'kPa', flow: 'L/s', velocity: 'm/s', power: 'kW' })

const files = readdirSync(new URL('findings/', import.meta.url))
  .filter((name) => name !== 'list.ts')
  .map((name) => name.slice(0, -'.ts'.length))

const camelCase = (id: string): string => id.replace(/-([a-z])/g, (_, letter: string) => letter.toUpperCase())
const limitsOf = (finding: AnyRecordFinding): Readonly<Record<string, number>> => limitValues(finding, limitsOfEdition)
const isRaised = (finding: AnyRecordFinding, figures: Figures, limits = limitsOf(finding)): boolean =>
  finding.raised(figures as never, limits)
const textsOf = (finding: AnyRecordFinding): string[] =>
  (finding.examples.raises as readonly Figures[]).flatMap((figures) =>
    [us, metric].map((say) => finding.message(figures as never, say, limitsOf(finding))),
  )

describe('the record findings', () => {
  test('are each file once, and nothing else', () => {
    expect([...byId.keys()].sort()).toEqual([...files].sort())
    expect(byId.size).toBe(recordFindingList.length)
  })

  test.each(files)('%s.ts exports the listed finding under its name', async (id) => {
    const module: Record<string, unknown> = await import(new URL(`findings/${id}.ts`, import.meta.url).href)
    expect(Object.keys(module)).toEqual([camelCase(id)])
    expect(module[camelCase(id)]).toBe(byId.get(id))
  })

  test('are in force in the edition, whole and in the same order, under ids of their own', () => {
    expect(edition20261.recordFindings).toEqual(recordFindingList.map(({ id }) => id))
    for (const { id } of findings) expect(byId.has(id), id).toBe(false)
  })
})

describe.each(recordFindingList.map((finding) => ({ id: finding.id, finding })))('$id', ({ finding }) => {
  const { passes, raises } = finding.examples as { passes: readonly Figures[]; raises: readonly Figures[] }

  test('is complete', () => {
    expect(finding.id).toMatch(/^[a-z]+(-[a-z]+)*$/)
    expect(SEVERITIES).toContain(finding.severity)
    expect(FINDING_GROUPS).toContain(finding.group)
    for (const text of [finding.rule, finding.why, finding.remedy]) {
      expect(text).toMatch(/^[0-9A-Z].*\.$/)
      expect(text.length).toBeLessThanOrEqual(LONGEST_TEXT)
    }
    const { document, place, basis } = finding.source
    expect(['looked up', 'from memory', 'derived', 'common practice', 'our judgement']).toContain(basis)
    for (const text of [document, place]) {
      expect(text).not.toBe('')
      expect(text.length).toBeLessThanOrEqual(200)
    }
    for (const limit of finding.limits) expect(limitsOfEdition).toHaveProperty(limit)
    for (const silenced of finding.silences ?? []) expect(byId.has(silenced)).toBe(true)
  })

  test('points into the sheet', () => {
    expect(finding.place).toMatch(/^(\/([A-Za-z]+|\*))*$/)
    const [head] = finding.place.split('/').slice(1)
    if (head !== undefined) expect(Sheet.properties).toHaveProperty(head)
  })

  test('is raised by its raising examples and by none of the passing ones', () => {
    expect(passes.length).toBeGreaterThan(0)
    expect(raises.length).toBeGreaterThan(0)
    for (const figures of passes) expect(isRaised(finding, figures), JSON.stringify(figures)).toBe(false)
    for (const figures of raises) expect(isRaised(finding, figures), JSON.stringify(figures)).toBe(true)
  })

  test('has an example exactly at each limit', () => {
    const limits = limitsOf(finding)
    for (const limit of finding.limits as readonly string[]) {
      const turns = [...passes, ...raises].some((figures) =>
        [1 - 1e-6, 1 + 1e-6].some(
          (factor) =>
            isRaised(finding, figures, { ...limits, [limit]: limits[limit]! * factor }) !== isRaised(finding, figures),
        ),
      )
      expect(turns, limit).toBe(true)
    }
  })

  test('says what was found, in any unit system, without accusing', () => {
    for (const text of textsOf(finding)) {
      expect(text).toMatch(/^[-0-9A-Z].*\.$/)
      expect(text.length).toBeLessThanOrEqual(LONGEST_TEXT)
      expect(text).not.toMatch(/undefined|NaN|Infinity|\[object/)
    }
    for (const text of [finding.rule, finding.why, finding.remedy, ...textsOf(finding)])
      expect(text).not.toMatch(/fraud|cheat|fake|invent|careless|negligen|your (fault|mistake|error)|guilt|suspicious/i)
  })

  test('has an example against a test of another firm where it can be raised by one', () => {
    if (finding.ofOthers !== undefined || 'other' in raises[0]!)
      expect(raises.some(({ ofOtherFirm }) => ofOtherFirm)).toBe(true)
  })
})
