/** The door for decisions: the findings of a test under a program’s rules, which may have limits and severities of their own. */
import type { Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import { readTest } from '../field-tests/load.ts'
import { findAround } from './material-queries.ts'
import { publishedVersions } from './rule-set-queries.ts'
import { type FindingForProgram, standingUnder } from './rules/soundness.ts'
import { inForceOn } from './rules/versions.ts'

/** By the version in force on the day of the test; undefined where none was, or the program does not have the test. */
export async function findingsForProgram(
  tx: Transaction<Database>,
  programId: string,
  testId: string,
): Promise<readonly FindingForProgram[] | undefined> {
  const around = await findAround(tx, programId, testId)
  if (around === undefined) return undefined
  const { sheet, context, evaluation, edition } = await readTest(tx, testId)
  const version = inForceOn(await publishedVersions(tx, programId), sheet.testedOn)
  if (version === undefined) return undefined
  const material = { sheet, context, evaluation, edition, ...around, beforeMayBeLater: false }
  return standingUnder(version.content, material).findings
}
