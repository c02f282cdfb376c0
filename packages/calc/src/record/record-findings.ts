/** Runs the record findings in force over a test and what the record holds beside it. */
import type { Finding } from '../evaluation.ts'
import { limitValues } from '../findings/finding.ts'
import { type Say, sayIn } from '../findings/say.ts'
import { preferredUnits } from '../preferred-units.ts'
import type { AnyEdition } from '../surroundings.ts'
import { Comparison } from './comparison.ts'
import { recordFindingList } from './findings/list.ts'
import type { RecordFinding, TestRecord } from './record.ts'
import { type AnyRecordFinding, type Figures, limitAsValue } from './record-finding.ts'

/** Figures that a declaration reports, in two parts: what the subject’s firm may see, and what tells of others. */
function valuesOf(declared: AnyRecordFinding, figures: Figures): Pick<RecordFinding, 'values' | 'valuesOfOthers'> {
  const values: Finding['values'] = []
  const valuesOfOthers: Finding['values'] = []
  const ofOthers: readonly string[] = figures.ofOtherFirm ? (declared.ofOthers ?? []) : []
  for (const [name, unit] of Object.entries(declared.measures as Readonly<Record<string, string>>)) {
    const value: unknown = figures[name as keyof Figures]
    if (typeof value !== 'number' || !Number.isFinite(value)) continue
    const into = ofOthers.includes(name) ? valuesOfOthers : values
    into.push({ name, value, unit })
  }
  return { values, valuesOfOthers }
}

/** One finding for each run that raises it, told by the most telling comparison and against all that raise it. */
function raise(
  declared: AnyRecordFinding,
  comparison: Comparison,
  beside: readonly RecordFinding[],
  say: Say,
): RecordFinding[] {
  const { edition } = comparison
  const limits = limitValues(declared, edition.limits)
  const byRun = new Map<number | undefined, Figures[]>()
  for (const figures of declared.compared(comparison, beside) as readonly Figures[])
    if (declared.raised(figures as never, limits)) byRun.set(figures.run, [...(byRun.get(figures.run) ?? []), figures])
  return [...byRun].map(([run, raised]) => {
    const figures = raised[0]!
    return {
      id: declared.id,
      severity: declared.severity,
      ...(run !== undefined && { run }),
      place: figures.place ?? declared.place.replace('*', String(run)),
      message: declared.message(figures as never, say, limits),
      remedy: declared.remedy,
      ...valuesOf(declared, figures),
      limits: (declared.limits as readonly (keyof AnyEdition['limits'])[]).map((name) =>
        limitAsValue(edition.limits[name]),
      ),
      against: [...new Set(raised.flatMap(({ against }) => against))],
    }
  })
}

/** True if another finding against the same tests says all that this one does. */
const isSilenced = (
  finding: RecordFinding,
  others: readonly RecordFinding[],
  silences: ReadonlyMap<string, readonly string[]>,
) =>
  others.some(
    ({ id, against }) =>
      silences.get(id)?.includes(finding.id) && finding.against.every((test) => against.includes(test)),
  )

const GRAVEST_FIRST = { reject: 0, hold: 1, caution: 2, note: 3 } as const

/**
 * What the edition finds by comparing a test with the record, gravest first. The record is the whole input: the same
 * record gives the same findings, to an auditor too. Nothing here changes the evaluation of the test.
 */
export function recordFindings(record: TestRecord, edition: AnyEdition): RecordFinding[] {
  const comparison = new Comparison(record, edition)
  const say = sayIn(preferredUnits(record.subject.sheet))
  const inForce = recordFindingList.filter(({ id }) => edition.recordFindings.includes(id))
  const silences = new Map(inForce.map(({ id, silences }) => [id, silences ?? []]))
  const raised: RecordFinding[] = []
  for (const declared of inForce) raised.push(...raise(declared, comparison, raised, say))
  return raised
    .filter((finding) => !isSilenced(finding, raised, silences))
    .sort((a, b) => GRAVEST_FIRST[a.severity] - GRAVEST_FIRST[b.severity])
}
