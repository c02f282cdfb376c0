/** `liftledger verify FILE --key KEY`: a bundle, verified without a network. */
import { parseArgs } from 'node:util'
import { VerificationError, verifyBundle } from '../verify.ts'
import { NotTried } from './not-tried.ts'
import type { Command, Terminal } from './terminal.ts'
import { printable, reportLines } from './verify-report.ts'

const HELP = [
  'Usage: liftledger verify FILE --key KEY [--key KEY …] [--since FILE] [--no-replay] [--json]',
  '',
  '  FILE         a bundle, as the service gave it',
  '  --key        a verifier key, NAME+ID+KEY: of the log, or of a witness you trust.',
  '               Have it from somewhere else than the bundle',
  '  --since      file with a signed checkpoint that you kept: the log must continue it',
  '  --no-replay  do not evaluate the sheets again',
  '  --json       the report as JSON',
  '',
  'Exit 0: verified. 1: something is wrong. 2: could not be tried.',
]

const OPTIONS = {
  key: { type: 'string', multiple: true },
  since: { type: 'string' },
  'no-replay': { type: 'boolean' },
  json: { type: 'boolean' },
  help: { type: 'boolean' },
} as const

function parsed(args: readonly string[]) {
  try {
    return parseArgs({ args: [...args], options: OPTIONS, allowPositionals: true })
  } catch (error) {
    throw new NotTried(error instanceof Error ? error.message : String(error))
  }
}

async function read(path: string, { read: readFile }: Terminal): Promise<Uint8Array> {
  try {
    return await readFile(path)
  } catch (error) {
    throw new NotTried(`${path} can not be read: ${error instanceof Error ? error.message : String(error)}`)
  }
}

async function run(args: readonly string[], terminal: Terminal): Promise<number> {
  const { values, positionals } = parsed(args)
  if (values.help === true) {
    for (const line of HELP) terminal.out(line)
    return 0
  }
  const [file, ...more] = positionals
  if (file === undefined || more.length > 0) throw new NotTried('Name one file.')
  const keys = values.key ?? []
  if (keys.length === 0) {
    throw new NotTried('Give the verifier key of the log with --key. Whoever keeps the log publishes it.')
  }
  const bytes = await read(file, terminal)
  const since = values.since === undefined ? undefined : await read(values.since, terminal)
  const report = await verifyBundle(bytes, {
    keys,
    replay: values['no-replay'] !== true,
    ...(since && { sinceCheckpoint: new TextDecoder().decode(since) }),
  })
  if (values.json === true) terminal.out(JSON.stringify(report, null, 2))
  else for (const line of reportLines(file, report)) terminal.out(line)
  return report.ok ? 0 : 1
}

export const verifyCommand: Command = async (args, terminal) => {
  try {
    return await run(args, terminal)
  } catch (error) {
    // A key or a kept checkpoint that isn’t spelled as one; what is wrong with the bundle stands in the report.
    if (!(error instanceof NotTried || error instanceof VerificationError)) throw error
    terminal.error(printable(error.message))
    terminal.error('liftledger verify --help says what it takes.')
    return 2
  }
}
