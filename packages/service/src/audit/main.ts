/** `npm run audit`: holds the record in DATABASE_URL against its ledger. Exit 0: nothing found; 1: something; 2: not tried. */
import { writeFile } from 'node:fs/promises'
import { parseArgs } from 'node:util'
import { parseVerifierKey } from '@liftledger/ledger'
import { type AuditReport, auditDatabase } from './audit.ts'
import { type AuditFinding, auditCodes } from './findings.ts'

const HELP = `Usage: npm run audit -- [--key KEY …] [--json FILE]

  DATABASE_URL  the database, as its superuser or as the user of the service
  --key         a verifier key of the log, NAME+ID+KEY, from somewhere else than this database; may be given
                several times. Without it the keys are those that the ledger itself names
  --json        writes the whole report to a file

Exit 0: nothing found. 1: something is not as it was recorded. 2: could not be tried.`

const LISTED_MAX = 50

export async function main(args: readonly string[], url: string | undefined): Promise<number> {
  const { values } = parseArgs({
    args: [...args],
    options: { key: { type: 'string', multiple: true }, json: { type: 'string' }, help: { type: 'boolean' } },
  })
  if (values.help) {
    console.log(HELP)
    return 0
  }
  if (url === undefined || url === '') throw new Error('DATABASE_URL is missing: name the database to audit.')
  for (const key of values.key ?? []) parseVerifierKey(key)
  const report = await auditDatabase(url, values.key === undefined ? {} : { keys: values.key })
  if (values.json !== undefined) await writeFile(values.json, `${JSON.stringify(report, null, 2)}\n`)
  for (const line of reportLines(report)) console.log(line)
  return report.found === 0 ? 0 : 1
}

const number = new Intl.NumberFormat('en')

/** A report for a terminal. */
export function reportLines({ counts, findings, found }: AuditReport): string[] {
  const lines: string[] = []
  if (counts !== undefined) {
    const { entries, tests, contexts, notes, decisions, comparisons, erased, documents, keys, ruleSets, qualityDraws } =
      counts
    const told = Object.entries({
      Entries: entries,
      Tests: tests,
      Contexts: contexts,
      'Rule sets': ruleSets,
      'Draws of quality visits': qualityDraws,
      Notes: notes,
      Decisions: decisions,
      Compared: comparisons,
      Documents: documents,
      Keys: keys,
    })
    lines.push(...told.map(([name, count]) => `${name.padEnd(11)}${number.format(count)}`))
    if (erased > 0) {
      lines.push(
        `Erased     ${number.format(erased)} of these: their salt is gone, so that only their hashes were compared`,
      )
    }
    lines.push('')
  }
  if (found === 0) return [...lines, 'NOTHING FOUND: what is covered is as it was recorded.', ...LIMITS]
  for (const [code, some] of byCode(findings)) {
    lines.push(`${code}  ${auditCodes[code]}`)
    for (const finding of some.slice(0, LISTED_MAX))
      lines.push(`  ${placeOf(finding)}`, `    ${printable(finding.message)}`)
    if (some.length > LISTED_MAX) lines.push(`  and ${number.format(some.length - LISTED_MAX)} more`)
  }
  return [...lines, '', `FOUND: ${number.format(found)} ${found === 1 ? 'disagreement' : 'disagreements'}.`]
}

const LIMITS = [
  'What is covered and what is not: docs/record-coverage.md. A record made anew as a whole, with the signing key, is',
  'seen by nobody but those who kept an earlier checkpoint: liftledger monitor.',
]

const placeOf = ({ table, row, column }: AuditFinding): string =>
  printable([table, row, column].filter((part) => part !== undefined).join(' · '))

/** What a database says must not steer a terminal. */
const printable = (text: string): string => text.replaceAll(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, '\ufffd')

function byCode(findings: readonly AuditFinding[]): [AuditFinding['code'], AuditFinding[]][] {
  const groups = new Map<AuditFinding['code'], AuditFinding[]>()
  for (const finding of findings) groups.set(finding.code, [...(groups.get(finding.code) ?? []), finding])
  return [...groups]
}

if (import.meta.main) {
  process.exitCode = await main(process.argv.slice(2), process.env.DATABASE_URL).catch((error: unknown) => {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`)
    return 2
  })
}
