/** Flow through an orifice plate at the end of the discharge pipe, by the water in a tube upstream of it. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { orificeFlow } from '../formulas/orifice-flow.ts'
import { pipeArea } from '../formulas/pipe-area.ts'
import { Code, positiveReading } from '../readings.ts'
import { leafKind, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { defineFlowMethod } from './flow-method.ts'
import { PipeOfMeter } from './meter.ts'
import { headMembers, measureHead } from './water-head.ts'
import { flowByFormula } from './weir.ts'

const COEFFICIENT = leafKind('Coefficient of the orifice', 'ratio')
const ORIFICE = leafKind('Diameter of the orifice', 'length')

const schema = Type.Object(
  {
    method: Type.Literal('pipe-end-orifice', { description: 'Orifice plate at the end of a level pipe.' }),
    pipe: PipeOfMeter,
    coefficient: positiveReading('ratio', 'Coefficient K of the plate in its pipe, with the velocity of approach.'),
    coefficientBasis: Type.Enum(['own-calibration', 'published-table'], { description: 'Where K comes from.' }),
    orificeDiameter: positiveReading('length', 'Diameter of the orifice.'),
    ...headMembers('Water in the tube above the centre of the pipe.'),
    tapDistance: Type.Optional(positiveReading('length', 'Distance of the tube from the plate.')),
    instrument: Type.Optional(Code('Code of the tube, where it is another instrument than the one named for flow.')),
  },
  {
    title: 'PipeEndOrifice',
    description: 'Flow through an orifice at the end of a pipe.',
    additionalProperties: false,
  },
)

export const pipeEndOrifice = defineFlowMethod({
  id: 'pipe-end-orifice',
  title: 'Orifice at the end of the pipe',
  schema,
  formulas: [pipeArea, orificeFlow] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'the coefficient is that of the plate', basis: 'common practice' },
  cautions: ['lock-out', 'pressure-and-hammer', 'chemigation', 'place-for-the-water', 'noise-and-eyes'],
  measure(readings, place, around) {
    const { graph, facts } = around
    const coefficient = graph.leaf(COEFFICIENT, `${place}/coefficient`, readings.coefficient)
    const at = `${place}/orificeDiameter`
    const diameter = graph.leaf(ORIFICE, at, readings.orificeDiameter)
    widen(around, 'orifice-diameter', 'measure', at, at, diameter, 1)
    facts.orificeDiameter = graph.values[diameter]!
    facts.orificeHead = toSi(readings.head, 'length')
    facts.orificeTapDistance = readings.tapDistance && toSi(readings.tapDistance, 'length')
    const head = measureHead(readings, place, around)
    const flow = graph.apply(orificeFlow, { coefficient, area: graph.apply(pipeArea, { diameter }), head })
    return flowByFormula(flow, 'orifice-coefficient', readings, place, around)
  },
})
