/** A superuser who has the signing key too makes the record anew so that it agrees with itself; a monitor sees it. */
import { execFile } from 'node:child_process'
import { generateKeyPairSync } from 'node:crypto'
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { promisify } from 'node:util'
import {
  checkpointBody,
  entryBytes,
  extend,
  leafHash,
  parseVerifierKey,
  rootOf,
  type Signer,
  signNote,
  type TestEntry,
  type TreeRange,
  verifyNote,
} from '@liftledger/ledger'
import { ed25519Signer } from '@liftledger/ledger/signing'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { monitorIn } from '../../packages/sdk/src/cli/monitor.ts'
import { buildApp } from '../../packages/service/src/app.ts'
import { auditDatabase } from '../../packages/service/src/audit/audit.ts'
import { loadConfig } from '../../packages/service/src/config.ts'
import { startTestService, TEST_SIGNING_KEY, type TestService } from '../setup/service.ts'
import { registerContext, sheetWith } from '../setup/visit.ts'
import { connected } from './benches.ts'
import { takeGuardsAway } from './columns.ts'

let service: TestService
let url: string
let folder: string
beforeEach(async () => {
  service = await startTestService()
  url = await service.listen()
  folder = await mkdtemp(path.join(tmpdir(), 'liftledger-monitor-'))
  await registerContext(service, 'firmA')
  for (let n = 0; n < 6; n++) await submit(n)
  await service.app.ledger.settle()
})
afterEach(async () => {
  await service.close()
  await rm(folder, { recursive: true, force: true })
})

const submit = (n: number) =>
  service.call('firmA', 'POST /v1/tests', {
    body: sheetWith({ '/runs/0/dischargePressure/reading/value': 40 + n / 10 }),
  })

let clock = () => new Date()
async function monitor(...more: string[]): Promise<{ code: number; out: string; error: string }> {
  const [out, error]: [string[], string[]] = [[], []]
  const command = monitorIn({ fetch, now: () => clock() })
  const code = await command([url, '--state', path.join(folder, 'state'), ...more], {
    out: (line) => out.push(line),
    error: (line) => error.push(line),
    read: (file) => readFile(file),
  })
  return { code, out: out.join('\n'), error: error.join('\n') }
}
const keptState = () => readFile(path.join(folder, 'state'), 'utf8')

const seed = new Uint8Array(Buffer.from(TEST_SIGNING_KEY, 'base64').subarray(-32))
const stolen = ed25519Signer('liftledger.example', seed)

/** What a superuser with a signing key can do: change entries at will, and make tree and checkpoints anew over them. */
async function remake(
  change: (entries: Uint8Array[]) => Uint8Array[],
  { signer = stolen, sizes }: { signer?: Signer; sizes?: (count: number) => number[] } = {},
): Promise<void> {
  const client = await connected(service.databaseUrl)
  try {
    await takeGuardsAway(client)
    const { rows } = await client.query<{ entry: Buffer; kind: string; firm_id: string; subject: string }>(
      'select entry, kind, firm_id, subject from ll.ledger_entry order by index',
    )
    const entries = change(rows.map(({ entry }) => new Uint8Array(entry)))
    const about = new Map(rows.map(({ entry, ...columns }) => [subjectOf(entry), columns]))
    await client.query('begin')
    await client.query('delete from ll.ledger_entry; delete from ll.ledger_checkpoint; delete from ll.ledger_tile')
    let range: TreeRange = { size: 0, peaks: [] }
    const signedAt = sizes?.(entries.length) ?? [entries.length]
    for (const [index, entry] of entries.entries()) {
      const { kind, firm_id, subject } = about.get(subjectOf(entry))!
      await client.query('insert into ll.ledger_entry values ($1, $2, $3, $4, $5, $6)', [
        index,
        Buffer.from(leafHash(entry)),
        Buffer.from(entry),
        kind,
        firm_id,
        subject,
      ])
      range = extend(range, [leafHash(entry)])
      if (!signedAt.includes(range.size)) continue
      const root = rootOf(range)
      const note = signNote(checkpointBody({ origin: 'liftledger.example', size: range.size, root }), [signer])
      await client.query('insert into ll.ledger_checkpoint values ($1, $2, $3, now())', [
        range.size,
        Buffer.from(root),
        note,
      ])
    }
    await client.query('update ll.ledger_tree set size = $1, peaks = $2', [range.size, Buffer.concat(range.peaks)])
    await client.query('update ll.ledger_head set next = $1', [range.size])
    await client.query(
      `delete from ll.idempotency where resource_id not in (select subject from ll.ledger_entry where subject is not null);
       delete from ll.field_test where id not in (select subject from ll.ledger_entry where subject is not null)`,
    )
    await client.query('commit')
  } finally {
    await client.end()
  }
}

const read = (entry: Uint8Array) => JSON.parse(Buffer.from(entry).toString()) as TestEntry
const subjectOf = (entry: Uint8Array): string | undefined => read(entry).subject

/** The entry with another time, and its row with it. */
async function backdated(entry: Uint8Array): Promise<Uint8Array> {
  const at = '2026-01-05T08:00:00.000Z'
  const client = await connected(service.databaseUrl)
  await takeGuardsAway(client)
  await client.query(
    `update ll.field_test set received_at = $1 where id = (select subject from ll.ledger_entry where entry = $2)`,
    [at, Buffer.from(entry)],
  )
  await client.end()
  return entryBytes({ ...read(entry), at })
}

const findings = async () => (await auditDatabase(service.databaseUrl)).findings

describe('a superuser who has the signing key', () => {
  beforeEach(async () => {
    expect(await monitor()).toMatchObject({ code: 0, out: expect.stringContaining('FIRST LOOK') })
  })

  test('cuts off the end of the log: the record agrees with itself, the monitor cries out', async () => {
    const before = await keptState()
    await remake((entries) => entries.slice(0, -2))
    expect(await findings()).toEqual([])
    const { code, error } = await monitor()
    expect([code, error]).toEqual([1, expect.stringContaining('ALARM: log-shrunk')])
    expect(await keptState()).toBe(before)
  })

  test('cuts off the end and lets the log grow beyond it again', async () => {
    await remake((entries) => entries.slice(0, -2))
    const after = await connected(service.databaseUrl)
    const { rows } = await after.query<{ entry: Buffer }>('select entry from ll.ledger_entry order by index')
    await after.end()
    expect(rows.length).toBeGreaterThan(3)
    // A process that was started anew, and saw nothing of before.
    await service.app.ledger.close()
    await remake((entries) => [...entries, ...entries.slice(1, 4)])
    const { code, error } = await monitor()
    expect([code, error]).toEqual([1, expect.stringContaining('ALARM: log-forked')])
  })

  test('puts other entries at the same indexes', async () => {
    await remake((entries) => [...entries.slice(0, 2), ...entries.slice(2).toReversed()])
    expect(await findings()).toEqual([])
    const { code, error } = await monitor()
    expect([code, error]).toEqual([1, expect.stringContaining('ALARM: log-forked')])
  })

  test('dates an entry back and signs everything after it anew', async () => {
    const client = await connected(service.databaseUrl)
    const { rows } = await client.query<{ entry: Buffer }>('select entry from ll.ledger_entry order by index')
    await client.end()
    const other = await backdated(new Uint8Array(rows[3]!.entry))
    await remake((entries) => entries.with(3, other))
    expect(await findings()).toEqual([])
    expect((await monitor()).error).toContain('ALARM: log-forked')
  })

  test('puts an entry in between, dated back', async () => {
    await remake((entries) => entries.toSpliced(2, 0, entries[5]!))
    expect(await monitor()).toMatchObject({ code: 1, error: expect.stringContaining('ALARM: log-forked') })
  })

  test('signs with another key', async () => {
    const other = ed25519Signer('liftledger.example', new Uint8Array(32).fill(9))
    await remake((entries) => entries, { signer: other })
    expect(await monitor()).toMatchObject({ code: 1, error: expect.stringContaining('ALARM: key-unknown') })
  })
})

describe('a monitor', () => {
  test('lets an honest log pass, look by look, and keeps the newest checkpoint', async () => {
    expect((await monitor()).code).toBe(0)
    expect(await monitor()).toMatchObject({ code: 0, out: expect.stringContaining('0 came after them') })
    await submit(50)
    await service.app.ledger.settle()
    expect(await monitor()).toMatchObject({ code: 0, out: expect.stringContaining('1 came after them') })
    expect(JSON.parse(await keptState())).toMatchObject({ v: 1, origin: 'liftledger.example', size: 8 })
  })

  test('lets a new key in that the old one vouches for, and says so loudly', async () => {
    expect((await monitor()).code).toBe(0)
    const newKey = generateKeyPairSync('ed25519').privateKey.export({ format: 'der', type: 'pkcs8' }).toString('base64')
    await service.app.ledger.close()
    const openAnew = (environment: Record<string, string>) =>
      buildApp({ ...service.deps, config: { ...service.deps.config, ledger: loadConfig(environment).ledger } })
    const other = await openAnew({ LEDGER_SIGNING_KEY: newKey, LEDGER_PREVIOUS_KEY: TEST_SIGNING_KEY })
    try {
      await other.ledger.settle()
      const { code, out } = await monitor()
      expect([code, out]).toEqual([0, expect.stringMatching(/NEW KEY +liftledger\.example\+/)])
      expect((await monitor()).out).not.toContain('NEW KEY')
    } finally {
      await other.close()
    }
    // From now on the new key signs alone, which is enough for who saw the old one vouch for it.
    const alone = await openAnew({ LEDGER_SIGNING_KEY: newKey })
    try {
      await submit(60)
      await alone.ledger.settle()
      expect(await monitor()).toMatchObject({ code: 0, out: expect.stringContaining('CONTINUES') })
      // Neither does the audit mind.
      expect(await findings()).toEqual([])
    } finally {
      await alone.close()
    }
  })

  test('does not let a new key in that signs alone', async () => {
    expect((await monitor()).code).toBe(0)
    const newKey = generateKeyPairSync('ed25519').privateKey.export({ format: 'der', type: 'pkcs8' }).toString('base64')
    await service.app.ledger.close()
    const { body } = await service.call<{ items: { key: string }[] }>('nobody', 'GET /v1/ledger/keys')
    const lost = body.items[0]!.key.split('+')[1]!
    const { ledger } = loadConfig({ LEDGER_SIGNING_KEY: newKey, LEDGER_KEY_LOST: lost })
    const config = { ...service.deps.config, ledger }
    const other = await buildApp({ ...service.deps, config })
    try {
      await other.ledger.settle()
      expect(await monitor()).toMatchObject({ code: 1, error: expect.stringContaining('ALARM: key-unknown') })
    } finally {
      await other.close()
    }
  })

  test('cosigns what it let pass', async () => {
    const file = path.join(folder, 'witness.pem')
    const pem = generateKeyPairSync('ed25519').privateKey.export({ format: 'pem', type: 'pkcs8' })
    await writeFile(file, pem, { mode: 0o600 })
    const { code, out, error } = await monitor('--cosign', file, '--witness', 'witness.example')
    expect(code).toBe(0)
    const key = parseVerifierKey(error.replace('Cosigned by ', ''))
    const note = out.slice(out.indexOf('liftledger.example\n'))
    expect(await verifyNote(note, [key])).toEqual([key])
    await writeFile(path.join(folder, 'open.pem'), pem, { mode: 0o644 })
    const refused = await monitor('--cosign', path.join(folder, 'open.pem'), '--witness', 'witness.example')
    expect(refused).toMatchObject({ code: 2, error: expect.stringContaining('chmod 600') })
  })

  test('holds the first look against a key it was given', async () => {
    const other = ed25519Signer('liftledger.example', new Uint8Array(32).fill(9)).key
    const text = `liftledger.example+${other.id.toString(16).padStart(8, '0')}+${Buffer.from([1, ...other.publicKey]).toString('base64')}`
    expect(await monitor('--key', text)).toMatchObject({ code: 1, error: expect.stringContaining('key-unknown') })
  })

  test('does not go on with a clock that went back, a state that is none, or a log that does not answer', async () => {
    expect((await monitor()).code).toBe(0)
    clock = () => new Date('2020-01-01T00:00:00Z')
    expect(await monitor()).toMatchObject({ code: 1, error: expect.stringContaining('time-backwards') })
    clock = () => new Date()
    await writeFile(path.join(folder, 'state'), '{}')
    expect(await monitor()).toMatchObject({ code: 2, error: expect.stringContaining('is not the state of a monitor') })
    await service.app.close()
    await rm(path.join(folder, 'state'))
    expect(await monitor()).toMatchObject({ code: 2, error: expect.stringContaining('can not be reached') })
  })

  test('runs as a program', async () => {
    const program = path.join(import.meta.dirname, '../../packages/sdk/bin/liftledger.js')
    const args = [program, 'monitor', url, '--state', path.join(folder, 'state')]
    const { stdout } = await promisify(execFile)(process.execPath, args)
    expect(stdout).toContain('FIRST LOOK')
  })
})
