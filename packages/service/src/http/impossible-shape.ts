/** What the schema of a sheet can't say. */
import { type Sheet, sheetProblems } from '@liftledger/calc'
import { counted, Problem } from './problem.ts'

/** Members that exclude or need each other: shape, so a 400. */
export function refuseImpossibleShape(sheet: Sheet): void {
  const problems = sheetProblems(sheet)
  if (problems.length === 0) return
  throw new Problem('invalid-request', `${counted(problems.length)}; nothing was stored.`, {
    errors: problems.slice(0, 50).map(({ pointer, message, allowed }) => ({
      pointer,
      code: 'wrong-shape',
      message,
      ...(allowed && { allowed: [...allowed] }),
    })),
  })
}
