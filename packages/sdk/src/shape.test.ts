import { Sheet } from '@liftledger/calc'
import { Type } from 'typebox'
import { Settings } from 'typebox/system'
import { describe, expect, test } from 'vitest'
import { bodyProblem } from '../../service/src/http/validator.ts'
import { shapeProblems } from './shape.ts'

const honest = {
  plant: 'P1',
  kind: 'well',
  testedOn: '2026-05-12',
  tester: 'T1',
  runs: [{ pumpingLevel: { method: 'electric-sounder', reading: { value: 141.7, unit: 'ft' } } }],
}
const withRun = (run: object) => ({ ...honest, runs: [run] })

const faulty: readonly (readonly [string, unknown])[] = [
  ['nothing', {}],
  ['no object', 'a sheet'],
  ['runs that are no list', { ...honest, runs: 'two' }],
  ['a wrong day', { ...honest, testedOn: '2026-02-30' }],
  ['a day of the year 0', { ...honest, testedOn: '0000-05-12' }],
  ['a name for a code', { ...honest, tester: 'Some One' }],
  ['an unknown member', { ...honest, insideDiametr: 1, 'a/b~c': 2 }],
  ['another kind', { ...honest, kind: 'fountain' }],
  ['text for a number', withRun({ dischargePressure: { reading: { value: '41.5', unit: 'psi' } } })],
  ['an unknown unit', withRun({ dischargePressure: { reading: { value: 41.5, unit: 'PSI' } } })],
  ['a unit of another dimension', withRun({ waterTemperature: { value: 64, unit: 'ft' } })],
  [
    'a negative swing',
    withRun({ dischargePressure: { reading: { value: 41.5, unit: 'psi' }, swing: { value: -1, unit: 'psi' } } }),
  ],
  ['an unknown method', withRun({ pumpingLevel: { method: 'guess', reading: { value: 1, unit: 'ft' } } })],
  ['no method', withRun({ pumpingLevel: { reading: { value: 1, unit: 'ft' } } })],
  ['a number for a method', withRun({ pumpingLevel: { method: 1 } })],
  ['a method without its reading', withRun({ pumpingLevel: { method: 'electric-sounder' } })],
  ['text for a method’s readings', withRun({ pumpingLevel: 'deep' })],
  ['a broken number of a run', { ...honest, normalRun: 0.5 }],
  ['a leap second', withRun({ startedAt: '2026-06-30T23:59:60Z' })],
  ['a small t', withRun({ startedAt: '2026-05-12t08:00:00Z' })],
  ['a time without offset', withRun({ startedAt: '2026-05-12T08:00:00' })],
  ['a time without seconds', withRun({ startedAt: '2026-05-12T08:00Z' })],
  ['a time with a zone’s name', withRun({ startedAt: '2026-05-12T08:00:00Z[Etc/UTC]' })],
  ['many mistakes at once', withRun(Object.fromEntries(Array.from({ length: 30 }, (_, i) => [`extra${i}`, i])))],
]

describe('offline and at the service the same places are wrong, under the same codes', () => {
  test.each(faulty)('%s', (_, sheet) => {
    const places = (items: readonly { pointer?: string; code: string }[]) =>
      [...new Set(items.map(({ pointer, code }) => `${pointer} ${code}`))].sort()
    const online = bodyProblem(Sheet, sheet, 100)?.errors ?? []
    expect(online).not.toEqual([])
    expect(places(shapeProblems(Sheet, sheet))).toEqual(places(online))
  })

  test('an honest sheet passes both', () => {
    expect(bodyProblem(Sheet, honest, 100)).toBeUndefined()
    expect(shapeProblems(Sheet, honest)).toEqual([])
  })
})

describe('a place that needs attention', () => {
  test('says what was found and what is allowed', () => {
    const [item] = shapeProblems(Sheet, withRun({ pumpingLevel: { method: 'guess' } }))
    expect(item).toEqual({
      pointer: '/runs/0/pumpingLevel/method',
      code: 'unknown-value',
      message: "'guess' is not a method here.",
      allowed: ['electric-sounder', 'air-line', 'transducer', 'acoustic'],
    })
  })

  test('of a choice belongs to the method chosen, not to the others', () => {
    const branch = (method: string, member: string) =>
      Type.Object({ method: Type.Literal(method), [member]: Type.Number() }, { additionalProperties: false })
    const choice = Type.Unsafe({
      type: 'object',
      discriminator: { propertyName: 'method' },
      oneOf: [branch('weir', 'crest'), branch('volume', 'filled')],
    })
    const list = Type.Object({ flows: Type.Array(choice) })
    const flows = [
      { method: 'volume', crest: 1 },
      { method: 'weir', crest: 'x' },
      { method: 'weir', crest: 1 },
    ]
    expect(shapeProblems(list, { flows }).map(({ pointer, code }) => `${pointer} ${code}`)).toEqual([
      '/flows/0/filled missing-member',
      '/flows/0/crest unknown-field',
      '/flows/1/crest wrong-type',
    ])
  })
})

test('the library’s settings are left as they were', () => {
  const before = { ...Settings.Get(), maxErrors: Settings.Get().maxErrors }
  shapeProblems(Sheet, {})
  expect({ ...Settings.Get(), maxErrors: Settings.Get().maxErrors }).toEqual(before)
})
