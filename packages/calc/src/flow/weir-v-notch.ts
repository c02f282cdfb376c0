/** Flow over a thin-plate V-notch weir. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { vNotchFlow } from '../formulas/v-notch-flow.ts'
import { positiveReading } from '../readings.ts'
import { leafKind, widen } from '../surroundings.ts'
import { defineFlowMethod } from './flow-method.ts'
import { measureHead } from './water-head.ts'
import { collectWeir, flowByFormula, weirMembers } from './weir.ts'

const ANGLE = leafKind('Angle of the notch', 'angle')

const schema = Type.Object(
  {
    method: Type.Literal('weir-v-notch', { description: 'Thin-plate V-notch weir.' }),
    notchAngle: positiveReading('angle', 'Angle of the notch.'),
    ...weirMembers,
  },
  { title: 'VNotchWeir', description: 'Flow over a V-notch weir.', additionalProperties: false },
)

export const weirVNotch = defineFlowMethod({
  id: 'weir-v-notch',
  title: 'V-notch weir',
  schema,
  formulas: [vNotchFlow] as unknown as readonly AnyFormula[],
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 7 section 7',
    basis: 'looked up',
  },
  cautions: ['chemigation', 'place-for-the-water', 'lifting-and-falls', 'alone', 'traffic'],
  measure(readings, place, around) {
    const { graph, facts } = around
    facts.vNotchWeir = true
    collectWeir(readings, around)
    const at = `${place}/notchAngle`
    const angle = graph.leaf(ANGLE, at, readings.notchAngle)
    widen(around, 'notch-angle', 'measure', at, at, angle, 1)
    facts.notchAngle = graph.values[angle]!
    const head = measureHead(readings, place, around)
    return flowByFormula(graph.apply(vNotchFlow, { angle, head }), 'weir-coefficient', readings, place, around)
  },
})
