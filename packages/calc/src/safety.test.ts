/** No remedy asks somebody who is not trained for it to do what can hurt: what touches a hazard says who does it, or how. */
import { describe, expect, test } from 'vitest'
import { findings } from './findings/list.ts'
import { recordFindingList } from './record/findings/list.ts'

/** What a remedy may name only beside what makes it safe. Source of the hazards: common practice of the trade. */
const HAZARDS: readonly (readonly [hazard: string, named: RegExp, safe: RegExp])[] = [
  ['live panels', /\b(panel|voltages?|clamp|terminals?|wires?|wiring)\b/i, /qualified staff|plate on record/],
  ['tapping a pipe under pressure', /\btappings?\b/i, /qualified to make one|second tapping exists/],
  ['gauges under pressure', /change gauges|retire this gauge/i, /tap closed and vented/],
  ['moving parts', /\b(shaft|coupling|belt|nameplate)\b/i, /guards?\b|covers? in place|on record|in the record|record/],
  ['gas under pressure', /\b(gas line|shut-in)\b/i, /Nothing of the gas line is opened|those who operate the well/],
  ['covers of meters', /\bcover\b/i, /Nothing behind a cover|covers in place/],
  ['strainers and foot valves', /\b(strainer|foot valve)\b/i, /locked out/],
]

/** Nobody is asked to do these at all, whoever reads it. */
const NEVER =
  /\b(drill|bypass|jumper|probe inside|reach (?:in|into|behind)|climb|enter the|lean over|remove the guard|open the (?:panel|well))\b/i

const remedies = [...findings, ...recordFindingList].map(({ id, remedy }) => [id, remedy] as const)

test('no remedy asks for what nobody should do', () => {
  expect(remedies.filter(([, remedy]) => NEVER.test(remedy))).toEqual([])
})

describe.each(HAZARDS)('%s', (_, named, safe) => {
  const touching = remedies.filter(([, remedy]) => named.test(remedy))

  test('are named only beside what makes it safe', () => {
    expect(touching.length).toBeGreaterThan(0)
    expect(touching.filter(([, remedy]) => !safe.test(remedy))).toEqual([])
  })
})
