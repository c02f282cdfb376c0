/** Help for tests: golden visits as the record holds them. */
import { latestEdition } from '../editions/list.ts'
import { evaluate } from '../evaluate.ts'
import { goldenCase } from '../testing.ts'
import type { RecordedTest, RecordFinding, TestRecord } from './record.ts'
import { recordFindings } from './record-findings.ts'

export type Change = (sheet: RecordedTest['sheet'], context: RecordedTest['context']) => void

/** A golden visit, changed first and evaluated then; received on its day if nothing else is said. */
export function recorded(name: string, own: Partial<RecordedTest> = {}, change: Change = () => {}): RecordedTest {
  const { sheet, context } = structuredClone(goldenCase(name))
  change(sheet, context)
  return {
    ...{ test: name, firm: 'ostrel', plant: sheet.plant, sheet, context },
    evaluation: evaluate(sheet, context, latestEdition),
    rawSha256: name,
    receivedAt: `${sheet.testedOn}T23:00:00Z`,
    ...own,
  }
}

/** A record with nothing beside the subject but what is given. */
export const beside = (subject: RecordedTest, rest: Partial<TestRecord> = {}): TestRecord => ({
  ...{ subject, ofPlant: [], lookalikes: [], searched: 0, ofTester: [], sameBytes: [] },
  ...rest,
})

export const found = (record: TestRecord): RecordFinding[] => recordFindings(record, latestEdition)
export const idsOf = (record: TestRecord): string[] => found(record).map(({ id }) => id)

/** All days and times of a visit put off by whole years. */
export const inYear =
  (year: number): Change =>
  (sheet) => {
    Object.assign(sheet, JSON.parse(JSON.stringify(sheet).replaceAll('"2026-', `"${year}-`)))
  }
