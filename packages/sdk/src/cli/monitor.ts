/** `liftledger monitor URL --state FILE`: whether a log continues what it was when it was last looked at. */
import { createPrivateKey, randomUUID } from 'node:crypto'
import { readFile, rename, stat, unlink, writeFile } from 'node:fs/promises'
import { parseArgs } from 'node:util'
import { cosign, formatVerifierKey, parseVerifierKey, type Signer, VerificationError } from '@liftledger/ledger'
import { ed25519Signer } from '@liftledger/ledger/signing'
import { type Look, look, MonitorAlarm, type MonitoredLog, type MonitorState, monitorCodes } from '../monitor.ts'
import { NotTried } from './not-tried.ts'
import type { Command, Terminal } from './terminal.ts'
import { printable } from './verify-report.ts'

const HELP = [
  'Usage: liftledger monitor URL --state FILE [--key KEY …] [--cosign KEYFILE --witness NAME] [--json]',
  '',
  '  URL        of the service, such as https://tests.example.org',
  '  --state    file that keeps the last checkpoint; made at the first look. Look often: nobody can',
  '             prove what happened to entries that no look has covered',
  '  --key      verifier key of the log, NAME+ID+KEY, from somewhere else than the log. Without it the',
  '             first look takes the keys that the log names. Also lets in a key that no known key vouches for',
  '  --cosign   file with an Ed25519 private key, PKCS#8 as PEM, that only its owner may read: signs the',
  '             checkpoint as a witness (cosignature/v1) and prints it',
  '  --witness  name of the witness, without spaces and plus signs',
  '  --json     what was seen, as JSON',
  '',
  'Exit 0: the log continues what it was. 1: ALARM, it does not; the state stays as it was. 2: could not be tried.',
]

const OPTIONS = {
  state: { type: 'string' },
  key: { type: 'string', multiple: true },
  cosign: { type: 'string' },
  witness: { type: 'string' },
  json: { type: 'boolean' },
  help: { type: 'boolean' },
} as const

const PATIENCE_MS = 30_000

/** How the world is reached, so that tests may have another. */
export interface MonitorWorld {
  readonly fetch: (url: string, init: { signal: AbortSignal }) => Promise<Response>
  readonly now: () => Date
}

function logAt(url: string, world: MonitorWorld): MonitoredLog {
  const base = `${url.replace(/\/+$/, '')}/v1/ledger/`
  const ask = async (path: string): Promise<Response> => {
    const response = await world
      .fetch(`${base}${path}`, { signal: AbortSignal.timeout(PATIENCE_MS) })
      .catch((error: unknown) => {
        throw new NotTried(`${base}${path} can not be reached: ${String((error as Error).cause ?? error)}`)
      })
    if (response.ok) return response
    // It has a checkpoint over what it says it has not: that is no trouble of the network.
    if (response.status === 404 || response.status === 409) {
      if (path.startsWith('tile/'))
        throw new MonitorAlarm('proof-missing', `The log does not give ${path}: it answered ${response.status}.`)
    }
    throw new NotTried(`${base}${path} answered ${response.status}.`)
  }
  return {
    text: async (path) => (await ask(path)).text(),
    bytes: async (path) => new Uint8Array(await (await ask(path)).arrayBuffer()),
  }
}

async function readState(file: string): Promise<MonitorState | undefined> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return undefined
    throw new NotTried(`${file} can not be read: ${error.message}`)
  })
  if (text === undefined) return undefined
  try {
    const state = JSON.parse(text) as MonitorState
    if (state.v === 1 && typeof state.root === 'string' && Array.isArray(state.keys)) return state
  } catch {
    // Told below.
  }
  // Never begun anew by itself: that would forget what the log had promised.
  throw new NotTried(
    `${file} is not the state of a monitor. Put a copy of it back, or name another file to begin anew.`,
  )
}

/** Aside first, so that a broken write leaves the old state whole. */
async function writeState(file: string, state: MonitorState): Promise<void> {
  const draft = `${file}.${randomUUID()}`
  try {
    await writeFile(draft, `${JSON.stringify(state, null, 2)}\n`, { flag: 'wx', flush: true })
    await rename(draft, file)
  } catch (error) {
    await unlink(draft).catch(() => undefined)
    throw new NotTried(`${file} can not be written: ${(error as Error).message}`)
  }
}

async function witnessOf(file: string, name: string | undefined): Promise<Signer> {
  if (name === undefined) throw new NotTried('Name the witness with --witness.')
  try {
    const { mode } = await stat(file)
    if (process.platform !== 'win32' && (mode & 0o077) !== 0) throw new Error(`others may read it; chmod 600 ${file}`)
    const key = createPrivateKey(await readFile(file))
    if (key.asymmetricKeyType !== 'ed25519') throw new Error(`its key is of type ${key.asymmetricKeyType}, not Ed25519`)
    return ed25519Signer(name, new Uint8Array(Buffer.from(key.export({ format: 'jwk' }).d!, 'base64url')), 4)
  } catch (error) {
    throw new NotTried(`${file} can not be used to cosign: ${(error as Error).message}`)
  }
}

function parsed(args: readonly string[]) {
  try {
    return parseArgs({ args: [...args], options: OPTIONS, allowPositionals: true })
  } catch (error) {
    throw new NotTried(error instanceof Error ? error.message : String(error))
  }
}

async function run(args: readonly string[], terminal: Terminal, world: MonitorWorld): Promise<number> {
  const { values, positionals } = parsed(args)
  if (values.help === true) {
    for (const line of HELP) terminal.out(line)
    return 0
  }
  const [url, ...more] = positionals
  if (url === undefined || more.length > 0 || !URL.canParse(url)) throw new NotTried('Name one URL of a service.')
  const { state: file, key: trusted = [] } = values
  if (file === undefined) throw new NotTried('Name the file that keeps the state with --state.')
  for (const key of trusted) parseVerifierKey(key)
  const witness = values.cosign === undefined ? undefined : await witnessOf(values.cosign, values.witness)
  const before = await readState(file)
  let seen: Look
  const now = world.now()
  try {
    seen = await look(logAt(url, world), { before, trusted, now })
  } catch (error) {
    if (!(error instanceof MonitorAlarm)) throw error
    return alarm(error, { before, terminal, json: values.json === true })
  }
  await writeState(file, seen.state)
  const cosigned = witness && cosign(seen.state.checkpoint, witness, Math.floor(now.getTime() / 1_000))
  if (values.json === true) terminal.out(JSON.stringify({ ok: true, ...seen, ...(cosigned && { cosigned }) }, null, 2))
  else {
    for (const line of reportLines(seen, before)) terminal.out(line)
    if (cosigned !== undefined) terminal.out(`\n${cosigned}`)
  }
  if (witness !== undefined) terminal.error(`Cosigned by ${formatVerifierKey(witness.key)}`)
  return 0
}

function reportLines({ state, added, newKeys }: Look, before: MonitorState | undefined): string[] {
  const lines = [`Log         ${state.origin}, ${state.size.toLocaleString('en')} entries`, `Root        ${state.root}`]
  for (const { key, index } of newKeys)
    lines.push(`NEW KEY     ${key}, in force since entry ${index}, vouched for by the key before it`)
  lines.push(
    before === undefined
      ? 'FIRST LOOK: kept, to hold the next one against.'
      : `CONTINUES: the ${before.size.toLocaleString('en')} entries of ${before.seenAt} are as they were, ${added} came after them.`,
  )
  return lines.map(printable)
}

function alarm(
  { code, message }: MonitorAlarm,
  { before, terminal, json }: { before: MonitorState | undefined; terminal: Terminal; json: boolean },
): number {
  if (json) terminal.out(JSON.stringify({ ok: false, code, message, before }, null, 2))
  terminal.error(`ALARM: ${code}`)
  terminal.error(`  ${monitorCodes[code]}`)
  terminal.error(`  ${printable(message)}`)
  if (before !== undefined) {
    terminal.error('  The checkpoint that was kept, signed by the log, is the evidence; it stays in the state file:')
    for (const line of before.checkpoint.trimEnd().split('\n')) terminal.error(`    ${printable(line)}`)
  }
  return 1
}

export const monitorIn =
  (world: MonitorWorld): Command =>
  async (args, terminal) => {
    try {
      return await run(args, terminal, world)
    } catch (error) {
      if (!(error instanceof NotTried || error instanceof VerificationError)) throw error
      terminal.error(printable(error.message))
      terminal.error('liftledger monitor --help says what it takes.')
      return 2
    }
  }

export const monitorCommand: Command = monitorIn({ fetch, now: () => new Date() })
