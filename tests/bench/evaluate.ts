/** `evaluate.per-core`: full evaluations a second of CPU time on one core, with uncertainty and all findings. */
import { evaluate, latestEdition, Sheet, sheetProblems } from '@liftledger/calc'
import { Compile } from 'typebox/schema'
import { context, sheet, sheetText } from './example.ts'
import { type Figure, perCpuSecond, spreadOf, tell } from './rounds.ts'

const ROUNDS = 5

export async function evaluatePerCore(quick: boolean): Promise<Figure[]> {
  const shape = Compile(Sheet)
  const ms = quick ? 500 : 2000
  const parsed = () => void evaluate(sheet, context, latestEdition)
  const fromText = () => {
    const read = JSON.parse(sheetText) as Sheet
    if (!shape.Check(read) || sheetProblems(read).length > 0)
      throw new Error('The sheet of the bench has the wrong shape.')
    evaluate(read, context, latestEdition)
  }
  perCpuSecond(parsed, 1500)
  perCpuSecond(fromText, 500)
  const bare: number[] = []
  const withParsing: number[] = []
  for (let round = 0; round < ROUNDS; round++) {
    bare.push(perCpuSecond(parsed, ms))
    withParsing.push(perCpuSecond(fromText, ms))
  }
  const core = { id: 'evaluate.per-core', unit: '1/s', goal: 20_000, better: 'higher' } as const
  const parsing = { id: 'evaluate.per-core.with-parsing', unit: '1/s', goal: null, better: 'higher' } as const
  const counted = `${latestEdition.findings.length} findings, edition ${latestEdition.id}, 20-point traverse; evaluations for each second of CPU time`
  tell(core, spreadOf(bare), `parsed input; ${counted}`)
  tell(parsing, spreadOf(withParsing), `from text: JSON.parse, shape check, evaluation; ${counted}`)
  return [
    { ...core, value: spreadOf(bare).median },
    { ...parsing, value: spreadOf(withParsing).median },
  ]
}
