/**
 * `node tests/upgrade/make-fixture.ts TREE NAME`: lets the version of the service in the folder TREE fill a database,
 * and writes what is in it as `fixtures/NAME.sql`.
 *
 * TREE is a checkout of that version with its packages installed. Its own seed says who is in the basin; everything goes
 * through its own routes, so that the rows are those that it would have written for anybody.
 */
import { execFile, spawn } from 'node:child_process'
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { promisify } from 'node:util'
import { type GoldenCase, goldenCase } from '@liftledger/calc/testing'
import { startEmbedded } from '../../packages/service/src/db/embedded.ts'
import { dumpRows } from './rows.ts'

const [tree, name] = process.argv.slice(2)
if (tree === undefined || name === undefined) throw new Error('Usage: make-fixture.ts TREE NAME')

/** Of nothing but this fixture. */
const PEPPER = 'a pepper for tests, at least 32 characters long'
const SHEETS = ['SHEET-02', 'SHEET-04', 'SHEET-05', 'SHEET-11', 'FAULT-02', 'FAULT-04'] as const
const SEED_VISITS = ['visits/before-repair.json', 'visits/after-repair.json', 'field-sheet.json']

type Body = Readonly<Record<string, unknown>>
interface BasinFile {
  readonly program: Body
  readonly firms: readonly (Record<'testers' | 'instruments' | 'plants', readonly Body[]> & {
    readonly name: string
    readonly shares?: readonly string[]
  })[]
}

const seedFile = (path: string): unknown => JSON.parse(readFileSync(join(tree, 'seed', path), 'utf8'))

/** Calls of the service at an address; throws where it does not answer with success. */
const caller =
  (base: string) =>
  async (key: string, route: string, body?: unknown): Promise<Body & { readonly id: string; readonly key: string }> => {
    const [method = '', path = ''] = route.split(' ')
    const answer = await fetch(`${base}${path}`, {
      method,
      headers: {
        authorization: `Bearer ${key}`,
        ...(body !== undefined && { 'content-type': 'application/json' }),
        ...(path === '/v1/tests' && { 'idempotency-key': crypto.randomUUID() }),
      },
      ...(body !== undefined && { body: JSON.stringify(body, null, 1) }),
    })
    if (!answer.ok) throw new Error(`${route} answered ${answer.status}: ${await answer.text()}`)
    return (await answer.json()) as Body & { id: string; key: string }
  }
type Call = ReturnType<typeof caller>

/** The basin as the version's own seed makes it. */
async function fillBasin(call: Call, admin: string): Promise<{ firmKey: string; programId: string }> {
  const basin = seedFile('basin.json') as BasinFile
  const { id: programId } = await call(admin, 'POST /v1/programs', basin.program)
  const keys: string[] = []
  for (const { name: firmName, testers, instruments, plants, shares = [] } of basin.firms) {
    const { id } = await call(admin, 'POST /v1/firms', { name: firmName })
    const { key } = await call(admin, 'POST /v1/keys', { role: 'firm', firmId: id, name: `${firmName}, software` })
    keys.push(key)
    for (const tester of testers) await call(key, 'POST /v1/testers', tester)
    for (const instrument of instruments) await call(key, 'POST /v1/instruments', instrument)
    for (const plant of plants) await call(key, 'POST /v1/plants', plant)
    for (const code of shares) {
      const list = (await call(admin, `GET /v1/plants?code=${code}`)) as unknown as { items: { id: string }[] }
      await call(admin, `POST /v1/plants/${list.items[0]!.id}/access`, { firmId: id })
    }
  }
  return { firmKey: keys[0]!, programId }
}

/** Another firm with the records that the golden sheets lean on. */
async function fillGolden(call: Call, admin: string, cases: readonly GoldenCase[]): Promise<string> {
  const { id } = await call(admin, 'POST /v1/firms', { name: 'Sedgewater Field Services (invented)' })
  const { key } = await call(admin, 'POST /v1/keys', { role: 'firm', firmId: id, name: 'software of Sedgewater' })
  const seen = new Set<string>()
  const once = async (noun: string, body: Body & { readonly code: string }): Promise<void> => {
    if (!seen.has(`${noun} ${body.code}`)) await call(key, `POST /v1/${noun}`, body)
    seen.add(`${noun} ${body.code}`)
  }
  for (const { context } of cases) {
    const { equipment, ...plant } = context.plant
    const { revision: _, ...facts } = equipment ?? { revision: 0 }
    await once('plants', { ...plant, ...(equipment && { equipment: facts }) })
    await once('testers', { ...context.tester })
    for (const instrument of context.instruments)
      await once('instruments', { ...instrument, effectiveFrom: '2025-01-01' })
  }
  return key
}

/** Answers the keys that the firms had, by their role in the tests. */
async function fill(call: Call, admin: string): Promise<Readonly<Record<string, string>>> {
  const { firmKey, programId } = await fillBasin(call, admin)
  const cases = SHEETS.map((id) => goldenCase(id))
  const goldenKey = await fillGolden(call, admin, cases)
  const tests: { key: string; id: string }[] = []
  for (const file of SEED_VISITS)
    tests.push({ key: firmKey, ...(await idOf(call(firmKey, 'POST /v1/tests', seedFile(file)))) })
  for (const { sheet } of cases)
    tests.push({ key: goldenKey, ...(await idOf(call(goldenKey, 'POST /v1/tests', sheet))) })

  const [first, second, third] = tests as [(typeof tests)[0], (typeof tests)[0], (typeof tests)[0]]
  await call(first.key, `POST /v1/tests/${first.id}/notes`, { kind: 'remark', text: 'Gate opens to the left.' })
  const contact = { kind: 'contact', role: 'grower', name: 'Nobody Invented', telephone: '000 0000' }
  const { id: noteId } = await call(second.key, `POST /v1/tests/${second.id}/notes`, contact)
  await call(second.key, `DELETE /v1/tests/${second.id}/notes/${noteId}`)
  const consent = { by: 'grower', givenAt: '2026-06-01T09:00:00Z', evidence: 'C-1' }
  for (const { key, id } of [first, third]) await call(key, `POST /v1/tests/${id}/programs`, { programId, consent })
  await call(third.key, `POST /v1/tests/${third.id}/programs/${programId}/withdrawal`, {
    withdrawnAt: '2026-06-20T09:00:00Z',
  })
  return { basin: firmKey, golden: goldenKey }
}

const idOf = async (answer: Promise<{ readonly id: string }>): Promise<{ id: string }> => ({ id: (await answer).id })

/** The service of the tree, running on a database; ends with `stop`. */
async function startTree(environment: NodeJS.ProcessEnv): Promise<{ url: string; stop(): Promise<void> }> {
  const child = spawn(process.execPath, ['packages/service/src/main.ts'], {
    cwd: tree,
    env: environment,
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()))
  for await (const line of createInterface({ input: child.stdout })) {
    const { msg, url } = JSON.parse(line) as { msg: string; url: string }
    if (msg === 'listening') {
      child.stdout.resume()
      return {
        url,
        stop: async () => {
          child.kill('SIGTERM')
          await ended
        },
      }
    }
  }
  throw new Error('The service of the tree did not start.')
}

const directory = mkdtempSync(join(tmpdir(), 'liftledger-upgrade-'))
const server = await startEmbedded({ directory, persistent: false })
try {
  const environment = {
    ...process.env,
    DATABASE_URL: server.url,
    KEY_PEPPER: PEPPER,
    PORT: '0',
    LOG_LEVEL: 'info',
    RATE_PER_MINUTE: '0',
  }
  const service = await startTree(environment)
  let keys: Readonly<Record<string, string>> = {}
  try {
    const { stdout } = await promisify(execFile)(process.execPath, ['packages/service/src/access/first-key.ts'], {
      cwd: tree,
      env: environment,
    })
    keys = await fill(caller(service.url), stdout.trim())
  } finally {
    await service.stop()
  }
  const comments = Object.entries(keys).map(([firm, key]) => `-- key ${firm} ${key}\n`)
  const sql = comments.join('') + (await dumpRows(server.url))
  const file = new URL(`fixtures/${name}.sql`, import.meta.url)
  writeFileSync(file, sql)
  process.stdout.write(`${sql.length} characters\n`)
} finally {
  await server.stop()
}
