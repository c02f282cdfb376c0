/** `evaluate.per-core`: full evaluations a second of CPU time, with uncertainty, all findings and advice. */
import { evaluate, latestEdition, Sheet } from '@liftledger/calc'
import { refuseImpossibleShape } from '../../packages/service/src/http/impossible-shape.ts'
import { parseJson } from '../../packages/service/src/http/raw-scan.ts'
import { bodyProblem } from '../../packages/service/src/http/validator.ts'
import { context, sheet, sheetText } from './example.ts'
import { alternate, type Figure, perCpuSecond, spreadOf, tell, whole } from './rounds.ts'

export async function evaluatePerCore(quick: boolean): Promise<Figure[]> {
  const bytes = Buffer.from(sheetText)
  const ms = quick ? 400 : 2000
  const parsed = () => void evaluate(sheet, context, latestEdition)
  /** As the service reads a body. */
  const fromBytes = () => {
    const read = parseJson(bytes)
    const problem = bodyProblem(Sheet, read, bytes.length)
    if (problem !== undefined) throw problem
    refuseImpossibleShape(read as Sheet)
    evaluate(read as Sheet, context, latestEdition)
  }
  perCpuSecond(parsed, 1500)
  perCpuSecond(fromBytes, 500)
  const [bare, withParsing] = await alternate([parsed, fromBytes].map((work) => async () => perCpuSecond(work, ms)))
  const core = { id: 'evaluate.per-core', unit: '1/s', goal: 20_000, better: 'higher' } as const
  const parsing = { ...core, id: 'evaluate.per-core.with-parsing', goal: null } as const
  const [ofCore, ofParsing] = [bare!, withParsing!].map((rates) => ({
    cpu: spreadOf(rates.map(({ perCpuS }) => perCpuS)),
    clock: spreadOf(rates.map(({ perClockS }) => perClockS)),
  }))
  const points =
    sheet.runs[0]!.flow?.method === 'pitot-traverse' ? sheet.runs[0]!.flow.diameters.flatMap((d) => d.points) : []
  tell(core, ofCore!.cpu, [
    `for each second of CPU time of the process, all threads; ${whole(ofCore!.clock.median)}/s by the clock`,
    `parsed sheet, traverse of ${points.length} points, edition ${latestEdition.id} with its ${latestEdition.findings.length} findings`,
  ])
  tell(parsing, ofParsing!.cpu, [
    `the same from ${whole(bytes.length)} bytes, scanned, parsed and checked against the schema as the service does; ${whole(ofParsing!.clock.median)}/s by the clock`,
  ])
  return [
    { ...core, value: ofCore!.cpu.median },
    { ...parsing, value: ofParsing!.cpu.median },
  ]
}
