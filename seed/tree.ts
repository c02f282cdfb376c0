/** Draws a trace as a tree: formulas above, readings below, the repeated points of a traverse gathered. */
import type { Trace } from '@liftledger/sdk/precheck'
import { accent, brief, dim, say } from './screen.ts'

type TraceNode = Trace['nodes'][number]

/** Of more than this many like inputs only the first are drawn. */
const ALIKE_MAX = 2
/** Longer formulas are left to the API's answer. */
const EXPRESSION_MAX = 60

const withUnit = (value: string, unit: string): string => (unit === '1' ? value : `${value} ${unit}`)

function label(node: TraceNode, target: string): string {
  const { reading } = node
  if (reading === undefined) {
    const expression = node.expression.length > EXPRESSION_MAX ? '' : `  ${accent(node.expression)}`
    return `${node.title}${expression}  = ${withUnit(brief(node.value), node.unit)}`
  }
  const effect = `one ${reading.unit === '1' ? 'unit' : reading.unit} more: ${signed(reading.sensitivity * 100)} points of ${target}`
  return `${node.title}  ${accent(withUnit(String(reading.value), reading.unit))}  ${dim(`${reading.place} · ${effect}`)}`
}

const signed = (value: number): string => (value === 0 ? '0' : `${value > 0 ? '+' : '−'}${brief(Math.abs(value), 3)}`)

/** Inputs of a list (`velocities[3]`) beyond the first ones are told in one line. */
function shortened(node: TraceNode): { inputs: TraceNode['inputs']; left: number } {
  const listed = node.inputs.filter(({ name }) => name.endsWith(']'))
  if (listed.length <= ALIKE_MAX + 1) return { inputs: node.inputs, left: 0 }
  const hidden = new Set(listed.slice(ALIKE_MAX))
  return { inputs: node.inputs.filter((input) => !hidden.has(input)), left: hidden.size }
}

/** Draws the nodes below the quantity; a node met before is only named. */
export function drawTrace(trace: Trace, target: string): void {
  const drawn = new Set<number>()
  const draw = (node: TraceNode, lead: string, branch: string): void => {
    const again = drawn.has(node.node)
    drawn.add(node.node)
    say(`  ${dim(lead + branch)}${again ? `${node.title}  ${dim('as above')}` : label(node, target)}`)
    if (again) return
    const below = lead + (branch === '' ? '' : branch === '└─ ' ? '   ' : '│  ')
    const { inputs, left } = shortened(node)
    inputs.forEach((input, i) => {
      const last = i === inputs.length - 1 && left === 0
      draw(trace.nodes[input.node]!, below, last ? '└─ ' : '├─ ')
    })
    if (left > 0) say(`  ${dim(`${below}└─ and ${left} more like these`)}`)
  }
  draw(trace.nodes[0]!, '', '')
}
