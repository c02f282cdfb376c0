/** Every finding is listed, complete, in force in the edition, and does what its examples say. */
import { readdirSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { edition20261 } from '../editions/2026-1.ts'
import type { Limit } from '../editions/edition.ts'
import { SEVERITIES } from '../evaluation.ts'
import { QUANTITY_IDS, type QuantityId } from '../quantities.ts'
import { LEFT_OUT_READINGS, Sheet } from '../sheet.ts'
import { type Facts, factMeanings } from './facts.ts'
import { type AnyFinding, FINDING_GROUPS, limitValues } from './finding.ts'
import { findings } from './list.ts'
import { sayIn } from './say.ts'

const LONGEST_TEXT = 600
const limitsOfEdition: Readonly<Record<string, Limit>> = edition20261.limits
const byId = new Map(findings.map((finding) => [finding.id, finding]))

const us = sayIn({ length: 'ft', shortLength: 'in', pressure: 'psi', flow: 'gpm', velocity: 'ft/s', power: 'kW' })
const metric = sayIn({ length: 'm', shortLength: 'mm', pressure: 'kPa', flow: 'L/s', velocity: 'm/s', power: 'kW' })

const files = FINDING_GROUPS.flatMap((group) =>
  readdirSync(new URL(`${group}/`, import.meta.url))
    .filter((name) => name.endsWith('.ts') && !name.endsWith('.test.ts'))
    .map((name) => ({ group, id: name.slice(0, -'.ts'.length) })),
)

const camelCase = (id: string): string => id.replace(/-([a-z])/g, (_, letter: string) => letter.toUpperCase())

const isRaised = (finding: AnyFinding, facts: Facts, limits: Readonly<Record<string, number>>): boolean =>
  finding.raised(facts as never, limits)

const limitsOf = (finding: AnyFinding): Readonly<Record<string, number>> => limitValues(finding, limitsOfEdition)

const textsOf = (finding: AnyFinding): string[] =>
  finding.examples.raises.flatMap((facts) =>
    [us, metric].map((say) => finding.message(facts as never, say, limitsOf(finding))),
  )

interface SchemaNode {
  readonly properties?: Readonly<Record<string, SchemaNode>>
  readonly items?: SchemaNode
  readonly oneOf?: readonly SchemaNode[]
}

/** Whether a sheet may have something at the place; `*` stands for any index. */
function leadsSomewhere(schema: SchemaNode, path: readonly string[]): boolean {
  const [head, ...rest] = path
  if (head === undefined) return true
  if (schema.oneOf) return schema.oneOf.some((branch) => leadsSomewhere(branch, path))
  const next = head === '*' ? schema.items : schema.properties?.[head]
  return next !== undefined && leadsSomewhere(next, rest)
}

describe('the catalogue of findings', () => {
  test('lists each file once, and nothing else', () => {
    expect(files.map(({ id }) => id).sort()).toEqual(findings.map(({ id }) => id).sort())
    expect(byId.size).toBe(findings.length)
  })

  test.each(files)('$group/$id.ts exports the listed finding under its name', async ({ group, id }) => {
    const module: Record<string, unknown> = await import(new URL(`${group}/${id}.ts`, import.meta.url).href)
    expect(Object.keys(module)).toEqual([camelCase(id)])
    expect(module[camelCase(id)]).toBe(byId.get(id))
    expect(byId.get(id)?.group).toBe(group)
  })

  test('is in force in the edition, whole and in the same order', () => {
    expect(edition20261.findings).toEqual(findings.map(({ id }) => id))
  })
})

describe.each(findings.map((finding) => ({ id: finding.id, finding })))('$id', ({ finding }) => {
  test('is complete', () => {
    expect(finding.id).toMatch(/^[a-z]+(-[a-z]+)*$/)
    expect(SEVERITIES).toContain(finding.severity)
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
  })

  test('points into the sheet', () => {
    expect(finding.place).toMatch(/^(\/([A-Za-z]+|\*))+$/)
    expect(leadsSomewhere(Sheet as SchemaNode, finding.place.split('/').slice(1))).toBe(true)
  })

  test('names facts, limits, readings, quantities and findings that exist', () => {
    for (const need of finding.needs) expect(factMeanings).toHaveProperty(need)
    for (const limit of finding.limits) expect(limitsOfEdition).toHaveProperty(limit)
    if (finding.absenceOf !== undefined) expect(LEFT_OUT_READINGS).toContain(finding.absenceOf)
    for (const quantity of finding.spoils ?? []) expect(QUANTITY_IDS).toContain(quantity)
    for (const silenced of finding.silences ?? []) {
      expect(silenced).not.toBe(finding.id)
      expect(byId.has(silenced)).toBe(true)
    }
  })

  test('keeps results back if it rejects them, and never if it only cautions', () => {
    if (finding.severity === 'reject') expect(finding.spoils?.length).toBeGreaterThan(0)
    if (finding.severity === 'caution' || finding.severity === 'note') expect(finding.spoils).toBeUndefined()
  })

  test('does not bring back what a finding that it silences would keep back', () => {
    const spoiled = new Set<QuantityId>(finding.spoils)
    for (const silenced of finding.silences ?? []) {
      for (const quantity of byId.get(silenced)?.spoils ?? []) expect(spoiled).toContain(quantity)
    }
  })

  test('is raised by its raising examples and by none of the passing ones', () => {
    const { passes, raises } = finding.examples
    expect(passes.length).toBeGreaterThan(0)
    expect(raises.length).toBeGreaterThan(0)
    for (const facts of [...passes, ...raises]) {
      for (const name of Object.keys(facts)) expect(factMeanings).toHaveProperty(name)
      for (const need of finding.needs) expect(facts, `needs ${need}`).toHaveProperty(need)
    }
    for (const facts of passes) expect(isRaised(finding, facts, limitsOf(finding)), JSON.stringify(facts)).toBe(false)
    for (const facts of raises) expect(isRaised(finding, facts, limitsOf(finding)), JSON.stringify(facts)).toBe(true)
  })

  test('says what was read, in any unit system', () => {
    for (const text of textsOf(finding)) {
      expect(text).toMatch(/^[-0-9A-Z].*\.$/)
      expect(text.length).toBeLessThanOrEqual(LONGEST_TEXT)
      expect(text).not.toMatch(/undefined|NaN|Infinity|\[object/)
    }
  })

  test('neither accuses nor sends an untrained person into a panel', () => {
    for (const text of [finding.rule, finding.why, finding.remedy, ...textsOf(finding)]) {
      expect(text).not.toMatch(/fraud|cheat|fake|invent|careless|negligen|your (fault|mistake|error)|guilt|suspicious/i)
      if (/panel\b|terminal|breaker|volts|amperes|currents/i.test(text)) expect(text).toMatch(/qualified/)
    }
  })
})

/**
 * Limits that have no example of their own, with the reason. Each other limit has an example exactly at it:
 * its outcome turns when the limit moves by a millionth.
 */
const withoutBoundary: Readonly<Record<string, string>> = {
  'pump-run-time-far-too-short/minSettle': 'acts only where a rule set asks for less than the hard limit',
}

const limitsInUse = findings.flatMap((finding) =>
  (finding.limits as readonly string[])
    .map((limit) => ({ name: `${finding.id}/${limit}`, limit, finding }))
    .filter(({ name }) => !(name in withoutBoundary)),
)

describe('an example lies exactly at each limit', () => {
  const NUDGE = 1e-6

  test.each(limitsInUse)('$name', ({ limit, finding }) => {
    const limits = limitsOf(finding)
    const turns = [...finding.examples.passes, ...finding.examples.raises].some((facts) =>
      [1 - NUDGE, 1 + NUDGE].some(
        (factor) =>
          isRaised(finding, facts, { ...limits, [limit]: limits[limit]! * factor }) !==
          isRaised(finding, facts, limits),
      ),
    )
    expect(turns).toBe(true)
  })
})

describe('limits that a rule set changes', () => {
  test('a shorter usual time of pumping is enough', () => {
    const finding = byId.get('pump-run-time-far-too-short')!
    const limits = { ...limitsOf(finding), minSettle: 300 }
    expect(isRaised(finding, { settleTime: 300 }, limits)).toBe(false)
    expect(isRaised(finding, { settleTime: 299 }, limits)).toBe(true)
  })
})

describe('pairs of a usual and a hard limit', () => {
  const pairs = [
    { usual: 'pump-run-time-short', hard: 'pump-run-time-far-too-short', fact: 'settleTime', to: 2400 },
    {
      usual: 'straight-run-short-upstream',
      hard: 'straight-run-very-short-upstream',
      fact: 'straightUpstream',
      to: 20,
    },
    {
      usual: 'velocity-profile-lopsided',
      hard: 'velocity-profile-very-lopsided',
      fact: 'profileAsymmetry',
      to: 0.5,
    },
    { usual: 'pipe-velocity-high', hard: 'pipe-velocity-impossible', fact: 'meanVelocity', to: 20 },
    { usual: 'meter-timing-spread-wide', hard: 'meter-timing-spread-very-wide', fact: 'timingSpread', to: 0.1 },
  ]

  test.each(pairs)('$usual and $hard are never raised together, and leave no gap', ({ usual, hard, fact, to }) => {
    const soft = byId.get(usual)!
    const strict = byId.get(hard)!
    const outcomes = Array.from({ length: 1001 }, (_, i) => {
      const facts = { [fact]: (to * i) / 1000 } as Facts
      const both = [isRaised(soft, facts, limitsOf(soft)), isRaised(strict, facts, limitsOf(strict))]
      expect(both).not.toEqual([true, true])
      return both[1] ? 'hard' : both[0] ? 'usual' : 'none'
    })
    const order = outcomes.filter((outcome, i) => outcome !== outcomes[i - 1])
    expect([
      ['hard', 'usual', 'none'],
      ['none', 'usual', 'hard'],
    ]).toContainEqual(order)
  })
})
