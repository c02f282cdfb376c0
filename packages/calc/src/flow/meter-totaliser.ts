/** Flow by the register of a meter: volume between two readings, over the time between them. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { totaliserFlow } from '../formulas/totaliser-flow.ts'
import { totaliserVolume } from '../formulas/totaliser-volume.ts'
import type { Node } from '../graph.ts'
import { positiveReading, reading } from '../readings.ts'
import { measureRegister, registerKind } from '../register.ts'
import { leafKind, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { defineFlowMethod, type FlowSurroundings } from './flow-method.ts'
import { flowOf, meterMembers, meterScale, PipeOfMeter, pipeOf, widenScale } from './meter.ts'

const ELAPSED = leafKind('Time between the readings', 'time')
const TOTALISER = registerKind(
  'volume',
  {
    register: 'Totaliser',
    rollover: 'Volume at which the totaliser starts anew',
    id: 'totaliser-step',
    step: 'Last digit of the totaliser',
  },
  (graph, inputs) => graph.apply(totaliserVolume, inputs),
)

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

/** Volume between the readings, multiplier included. */
function volumeOf(readings: MeterTotaliser, place: string, around: FlowSurroundings): Node | undefined {
  const { graph, facts } = around
  const { start, end, multiplier, modulus } = readings
  facts.totaliserStart = toSi(start, 'volume')
  facts.totaliserEnd = toSi(end, 'volume')
  facts.totaliserRollover = modulus !== undefined && facts.totaliserEnd < facts.totaliserStart
  facts.totaliserMultiplier = multiplier && toSi(multiplier, 'ratio')
  const measured = measureRegister(readings, place, TOTALISER, graph)
  if (measured === undefined) return undefined
  facts.totaliserStep = measured.digit
  facts.totaliserVolume = graph.values[measured.passed]!
  return measured.passed
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
