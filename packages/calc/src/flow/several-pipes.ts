/**
 * Flow through several pipes at once, each measured by a method of its own: the flows add up.
 *
 * A method beside the others, so that a sheet with one flow stays as it is. Each pipe is judged by itself. Pipes read
 * with one instrument share its error, which then adds up instead of averaging out; instruments that the sheet does not
 * name count as one.
 */
import { type Static, Type } from 'typebox'
import { noFacts } from '../findings/facts.ts'
import type { AnyFormula } from '../formula.ts'
import { sumOfFlows } from '../formulas/sum-of-flows.ts'
import { defineFlowMethod, type FlowMeasured, type FlowSurroundings } from './flow-method.ts'
import { measureSingleFlow, SingleFlow } from './list.ts'

const schema = Type.Object(
  {
    method: Type.Literal('several-pipes', { description: 'Several pipes, whose flows add up.' }),
    pipes: Type.Array(SingleFlow, {
      minItems: 2,
      maxItems: 6,
      description: 'One flow for each pipe, all read in this run.',
    }),
  },
  { title: 'SeveralPipes', description: 'Flow through several pipes at once.', additionalProperties: false },
)
type SeveralPipes = Static<typeof schema>

function measure(readings: SeveralPipes, place: string, around: FlowSurroundings): FlowMeasured {
  const flows = readings.pipes.map((pipe, i) => {
    const facts = noFacts()
    const at = `${place}/pipes/${i}`
    around.parts.push({ place: at, role: around.role, facts })
    return measureSingleFlow(pipe, at, { ...around, facts }).flow
  })
  const known = flows.filter((flow) => flow !== undefined)
  // The sum of some of the pipes would be taken for the flow of the plant.
  if (known.length < flows.length) return { flow: undefined, area: undefined }
  return { flow: around.graph.apply(sumOfFlows, { flows: known }), area: undefined }
}

export const severalPipes = defineFlowMethod({
  id: 'several-pipes',
  title: 'Several pipes, whose flows add up',
  schema,
  formulas: [sumOfFlows] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'what leaves the plant in all pipes at the same time is its flow',
    basis: 'common practice',
  },
  cautions: ['alone'],
  measure,
})
