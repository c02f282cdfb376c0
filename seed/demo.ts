/**
 * `npm run demo`: the service on an embedded Postgres, an invented basin, and one field sheet end to end.
 *
 * `-- --once` ends with exit 0 instead of staying up; `-- --sheet FILE` submits another sheet.
 */
import { readFileSync, rmSync } from 'node:fs'
import { resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { ApiError, Liftledger } from '@liftledger/sdk'
import type { Sheet } from '@liftledger/sdk/precheck'
import { type Service, startService } from '@liftledger/service'
import {
  lookAround,
  mistaking,
  prechecking,
  showAdvice,
  showFindings,
  showHandCheck,
  showResults,
  showTrace,
  submitting,
} from './acts.ts'
import { bad, bold, dim, figure, good, paragraph, say } from './screen.ts'
import { seedBasin } from './seed.ts'

const DIRECTORY = new URL('../.data/demo', import.meta.url).pathname

/** The sheet stays as it was written: what is wrong with it is for the service to say. */
function options(): { once: boolean; text: string } {
  const { values } = parseArgs({
    options: { once: { type: 'boolean', default: false }, sheet: { type: 'string' } },
  })
  // npm runs scripts in the project's folder; a file is meant from where the command was typed.
  const file =
    values.sheet === undefined
      ? new URL('field-sheet.json', import.meta.url).pathname
      : resolve(process.env.INIT_CWD ?? '.', values.sheet)
  try {
    return { once: values.once, text: readFileSync(file, 'utf8') }
  } catch (error) {
    say(bad(`  ${file} can't be read: ${(error as Error).message}`))
    process.exit(1)
  }
}

/** What is wrong with a sheet, place by place. */
function explain(error: ApiError): void {
  say()
  say(bad(`  ${error.message}`))
  for (const { pointer, message, allowed } of error.errors) {
    say(`  ${bold(pointer ?? '')}`)
    say(paragraph(message, 4))
    if (allowed !== undefined) say(dim(paragraph(`allowed: ${allowed.join(', ')}`, 4)))
  }
}

async function play(service: Service, text: string): Promise<void> {
  const basin = await seedBasin(service)
  const { plants, testers, instruments, tests } = basin.counts
  say(`  ${good('✓')} Postgres 18 and the service are up`)
  say(
    `  ${good('✓')} the Ambermoor Basin, invented: ${basin.firms.length} firms, ${testers} testers, ${instruments} instruments, ${plants} plants, ${tests} earlier tests`,
  )
  const client = new Liftledger({ baseUrl: service.url, apiKey: basin.firms[0]!.key })
  const test = await submitting(client, text)
  const sheet = JSON.parse(text) as Sheet
  showResults(test)
  showFindings(test)
  await showTrace(client, test)
  showAdvice(test)
  showHandCheck(test)
  await prechecking(client, sheet, test)
  await mistaking(client, sheet)
  lookAround(service.url, basin, test)
}

const { once, text } = options()
say()
say(`  ${bold('Liftledger')}  ${dim('irrigation pump tests that answer for themselves')}`)
say()
// Every demo starts from nothing, so that it always shows the same.
rmSync(DIRECTORY, { recursive: true, force: true })
const service = await startService({
  directory: DIRECTORY,
  environment: { DATABASE_URL: '', PORT: once ? '0' : (process.env.PORT ?? '8080'), LOG_LEVEL: 'error' },
})
try {
  await play(service, text)
  say()
  say(dim(`  ${figure(performance.now() / 1000, 1)} s in all`))
} catch (error) {
  if (!(error instanceof ApiError)) throw error
  explain(error)
  process.exitCode = 1
} finally {
  if (once || process.exitCode === 1) await service.stop()
}
if (!once && process.exitCode !== 1) {
  say(dim('  The service stays up; Ctrl-C ends it.'))
  process.once('SIGINT', () => void service.stop().then(() => process.exit(0)))
  process.once('SIGTERM', () => void service.stop().then(() => process.exit(0)))
}
