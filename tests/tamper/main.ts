/** `npm run tamper`: single changes by a superuser in SQL, on disk and in bundles, each audited by itself. Exit 0: all found. */
import { mkdtemp, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { parseArgs } from 'node:util'
import { type AuditReport, auditDatabase } from '../../packages/service/src/audit/audit.ts'
import { startEmbedded } from '../../packages/service/src/db/embedded.ts'
import { honestDatabase, openBenches, urlOf } from './benches.ts'
import { tryInBundles } from './bundles.ts'
import { targetsIn } from './changes.ts'
import { tryOnDisk } from './disk.ts'
import { reportLines, reportOf } from './report.ts'
import { type Outcome, tryOnce } from './trials.ts'

const HELP = `Usage: npm run tamper -- [--quick] [--seed N] [--json FILE]

  --quick  a tenth of the trials
  --seed   draws others; 1 if absent
  --json   writes the report to a file`

const SIZES = {
  full: { tests: 160, rounds: 8, onDisk: 200, inBundle: 600 },
  quick: { tests: 120, rounds: 1, onDisk: 20, inBundle: 50 },
} as const
const NAME = 'honest'

interface InSql {
  readonly honest: AuditReport
  readonly inSql: Outcome[]
}

/** What the audit says of the honest record, and of each change of it. */
async function tryInSql({ tests, seed, rounds }: { tests: number; seed: number; rounds: number }): Promise<InSql> {
  const directory = await mkdtemp(path.join(tmpdir(), 'liftledger-tamper-'))
  const server = await startEmbedded({ directory, persistent: false, settings: { fsync: 'off', autovacuum: 'off' } })
  try {
    await honestDatabase(server.url, { name: NAME, tests, seed })
    const honest = await auditDatabase(urlOf(server.url, NAME))
    const { bench, close } = await openBenches(server.url, { name: NAME, seed })
    const inSql: Outcome[] = []
    const targets = targetsIn(bench.columns)
    for (let round = 0; round < rounds; round++) {
      for (const target of targets) {
        const outcome = await tryOnce(bench, target)
        if (outcome !== undefined) inSql.push(outcome)
      }
      console.error(`round ${round + 1} of ${rounds}: ${inSql.length} trials`)
    }
    await close()
    return { honest, inSql }
  } finally {
    await server.stop()
  }
}

async function main(): Promise<number> {
  const { values } = parseArgs({
    options: {
      quick: { type: 'boolean' },
      seed: { type: 'string' },
      json: { type: 'string' },
      help: { type: 'boolean' },
    },
  })
  if (values.help) {
    console.log(HELP)
    return 0
  }
  const seed = Number(values.seed ?? 1)
  const { tests, rounds, onDisk, inBundle } = SIZES[values.quick ? 'quick' : 'full']
  const outcomes = await tryInBundles({ seed, trials: inBundle })
  outcomes.push(...(await tryOnDisk({ tests, seed, trials: onDisk })))
  const { honest, inSql } = await tryInSql({ tests, seed, rounds })
  outcomes.push(...inSql)
  const report = reportOf(seed, outcomes)
  for (const line of reportLines(report)) console.log(line)
  console.log(`The honest record: ${JSON.stringify(honest.counts)}, ${honest.found} false alarms.`)
  if (values.json !== undefined) await writeFile(values.json, `${JSON.stringify({ ...report, honest }, null, 2)}\n`)
  return report.found === report.tried && report.placed === report.tried && honest.found === 0 ? 0 : 1
}

process.exitCode = await main()
