/** Flow by the register of a meter: volume between two readings, over the time between them. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { totaliserFlow } from '../formulas/totaliser-flow.ts'
import { totaliserVolume } from '../formulas/totaliser-volume.ts'
import type { ComponentKind, Node } from '../graph.ts'
import { positiveReading, reading } from '../readings.ts'
import { leafKind, widen } from '../surroundings.ts'
import { toSi, unitSize } from '../units.ts'
import { writtenStep } from '../written-step.ts'
import { defineFlowMethod, type FlowSurroundings } from './flow-method.ts'
import { flowOf, meterMembers, meterScale, PipeOfMeter, pipeOf, widenScale } from './meter.ts'

const START = leafKind('Totaliser at the start', 'volume')
const END = leafKind('Totaliser at the end', 'volume')
const ROLLOVER = leafKind('Volume at which the totaliser starts anew', 'volume')
const NO_ROLLOVER = { value: 0, unit: 'm3' } as const
const MULTIPLIER = leafKind('Multiplier of the totaliser', 'ratio')
const ELAPSED = leafKind('Time between the readings', 'time')
/** Two readings, each off by up to half a digit: their difference has a triangular distribution, u = digit ÷ √6. */
const LAST_DIGIT: ComponentKind = {
  id: 'totaliser-step',
  label: 'Last digit of the totaliser',
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.3.9 and F.2.2.1, triangular distribution', basis: 'from memory' },
  unit: 'm3',
}

const schema = Type.Object(
  {
    method: Type.Literal('meter-totaliser', { description: 'Volume on the register of a meter, timed.' }),
    pipe: PipeOfMeter,
    start: reading('volume', 'Register at the start, without the multiplier.'),
    end: reading('volume', 'Register at the end, without the multiplier.'),
    step: Type.Optional(
      positiveReading('volume', 'Smallest digit or division of the register, without the multiplier.'),
    ),
    modulus: Type.Optional(
      positiveReading('volume', 'Volume at which the register starts again from zero, without the multiplier.'),
    ),
    multiplier: Type.Optional(positiveReading('ratio', 'Multiplier of the register; 1 if there is none.')),
    elapsed: positiveReading('time', 'Time between the two readings.'),
    ...meterMembers,
  },
  { title: 'MeterTotaliser', description: 'Flow by the register of a meter.', additionalProperties: false },
)
type MeterTotaliser = Static<typeof schema>

/** Smallest step of the register in m³, without the multiplier: as stated, or the last digit that was written. */
function stepOfRegister({ step, start, end }: MeterTotaliser): number {
  if (step !== undefined) return toSi(step, 'volume')
  return Math.min(...[start, end].map(({ value, unit }) => writtenStep(value) * unitSize(unit, 'volume')))
}

/** Volume between the readings, multiplier included. */
function volumeOf(readings: MeterTotaliser, place: string, around: FlowSurroundings): Node | undefined {
  const { graph, facts } = around
  const { start, end, multiplier, modulus } = readings
  facts.totaliserStart = toSi(start, 'volume')
  facts.totaliserEnd = toSi(end, 'volume')
  const wentBack = facts.totaliserEnd < facts.totaliserStart
  facts.totaliserRollover = modulus !== undefined && wentBack
  facts.totaliserMultiplier = multiplier && toSi(multiplier, 'ratio')
  if (multiplier === undefined || (wentBack && modulus === undefined)) return undefined
  const factor = graph.leaf(MULTIPLIER, `${place}/multiplier`, multiplier)
  const volume = graph.apply(totaliserVolume, {
    start: graph.leaf(START, `${place}/start`, start),
    end: graph.leaf(END, `${place}/end`, end),
    rollover:
      wentBack && modulus !== undefined
        ? graph.leaf(ROLLOVER, `${place}/modulus`, modulus)
        : graph.leaf(ROLLOVER, 'edition/no-rollover', NO_ROLLOVER),
    multiplier: factor,
  })
  const digit = stepOfRegister(readings) * graph.values[factor]!
  facts.totaliserStep = digit
  facts.totaliserVolume = graph.values[volume]!
  const at = `${place}/end`
  graph.act(
    graph.component({ kind: LAST_DIGIT, place: at, group: at, u: digit / Math.sqrt(6), dof: Infinity }),
    volume,
    1,
  )
  return volume
}

export const meterTotaliser = defineFlowMethod({
  id: 'meter-totaliser',
  title: 'Register of a flow meter, timed',
  schema,
  formulas: [totaliserVolume, totaliserFlow, correctedRate] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'volume on the register over time', basis: 'common practice' },
  cautions: ['chemigation'],
  measure(readings, place, around) {
    const { graph, facts } = around
    facts.totaliser = true
    const pipe = pipeOf(readings, place, around)
    const volume = volumeOf(readings, place, around)
    if (volume === undefined) return { flow: undefined, area: pipe?.area }
    const at = `${place}/elapsed`
    const elapsed = graph.leaf(ELAPSED, at, readings.elapsed)
    widen(around, 'timing-reaction', 'repeat', at, at, elapsed, 1)
    const shown = graph.apply(totaliserFlow, { volume, elapsed })
    widenScale(shown, 'flow', readings, meterScale(readings, around), around)
    return flowOf(shown, pipe, place, readings, around)
  },
})
