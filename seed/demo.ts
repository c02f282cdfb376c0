/**
 * `npm run demo`: the service on an embedded Postgres, an invented basin, and one field sheet end to end.
 *
 * `-- --once` ends with exit 0 instead of staying up; `-- --sheet FILE` submits another sheet.
 */
import { mkdirSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
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
import { asking } from './asking.ts'
import { auditing } from './audit.ts'
import { judging } from './judging.ts'
import { needing } from './needing.ts'
import { bad, bold, dim, figure, good, paragraph, say } from './screen.ts'
import { seedBasin } from './seed.ts'
import { type SimulatedYears, simulateYears } from './simulated.ts'

const DATA = fileURLToPath(new URL('../.data/', import.meta.url))
/** A folder for each demo, so that one that stays up keeps its database while another runs. */
const DIRECTORY = join(DATA, `demo-${process.pid}`)

/** Removes what demos left that are no longer running. */
function tidy(): void {
  mkdirSync(DATA, { recursive: true })
  for (const name of readdirSync(DATA)) {
    const pid = Number(/^demo-(\d+)$/.exec(name)?.[1])
    if (pid > 0 && !isRunning(pid)) rmSync(join(DATA, name), { recursive: true, force: true })
  }
}

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0)
    return true
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM'
  }
}

async function start(once: boolean): Promise<Service> {
  const port = once ? '0' : (process.env.PORT ?? '8080')
  try {
    return await startService({
      directory: DIRECTORY,
      // Years of visits are told in seconds.
      environment: {
        ...{ DATABASE_URL: '', PORT: port, LOG_LEVEL: 'error', RATE_PER_MINUTE: '0' },
        // Comparing with the record goes on for minutes after years came in at once: nobody stays to see it.
        ...(once && { RECORD_COMPARISONS: 'off' }),
      },
    })
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE') throw error
    say(bad(`  Port ${port} is taken; choose another: PORT=8081 npm run demo`))
    process.exit(1)
  }
}

/** Ends the service and removes its database. */
async function end(service: Service): Promise<void> {
  await service.stop()
  rmSync(DIRECTORY, { recursive: true, force: true })
}

/** The sheet stays as it was written: what is wrong with it is for the service to say. */
function options(): { once: boolean; text: string } {
  const { values } = parseArgs({
    options: { once: { type: 'boolean', default: false }, sheet: { type: 'string' } },
  })
  // npm runs scripts in the project's folder; a file is meant from where the command was typed.
  const file =
    values.sheet === undefined
      ? fileURLToPath(new URL('field-sheet.json', import.meta.url))
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

/** Says what was simulated around the plants of the field sheet. */
function tellYears({ firms, plants, tests, firstYear, lastYear, soundness, seconds }: SimulatedYears): void {
  const { sound = 0, 'in-question': inQuestion = 0, unsound = 0 } = soundness
  say(
    `  ${good('✓')} years ${firstYear} to ${lastYear} around it, simulated: ${figure(tests, 0)} tests of ${figure(plants, 0)} plants by ${firms} firms, submitted in ${figure(seconds, 1)} s`,
  )
  say(
    dim(
      `    ${figure(sound, 0)} sound, ${inQuestion} in question, ${unsound} unsound: some sheets have a clumsy mistake`,
    ),
  )
}

async function play(service: Service, text: string, once: boolean): Promise<void> {
  const basin = await seedBasin(service)
  const { plants, testers, instruments, tests } = basin.counts
  say(`  ${good('✓')} Postgres 18 and the service are up`)
  say(
    `  ${good('✓')} the Ambermoor Basin, invented: ${basin.firms.length} firms, ${testers} testers, ${instruments} instruments, ${plants} plants, ${tests} earlier tests`,
  )
  tellYears(await simulateYears(service.url, basin.adminKey, basin.programs))
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
  await judging(service.url, basin.programs)
  const auditor = new Liftledger({ baseUrl: service.url, apiKey: basin.auditorKey })
  await asking(auditor, service.url, basin.programs)
  await needing(auditor)
  const logKey = await auditing(auditor, test)
  lookAround(service.url, basin, test, logKey, once)
}

const { once, text } = options()
say()
say(`  ${bold('Liftledger')}  ${dim('irrigation pump tests that answer for themselves')}`)
say()
tidy()
const service = await start(once)
try {
  await play(service, text, once)
  say()
  say(dim(`  ${figure(performance.now() / 1000, 1)} s in all`))
} catch (error) {
  if (!(error instanceof ApiError)) throw error
  explain(error)
  process.exitCode = 1
} finally {
  if (once || process.exitCode === 1) await end(service)
}
if (!once && process.exitCode !== 1) {
  say(dim('  The service stays up; Ctrl-C ends it.'))
  for (const signal of ['SIGINT', 'SIGTERM'] as const)
    process.once(signal, () => void end(service).then(() => process.exit(0)))
}
