import { execFile } from 'node:child_process'
import { mkdtemp, readFile, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { promisify } from 'node:util'
import { formatVerifierKey } from '@liftledger/ledger'
import { ed25519Signer } from '@liftledger/ledger/signing'
import pg from 'pg'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, TEST_SIGNING_KEY, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { inRole } from '../db/pool.ts'
import { onConnection } from '../db/testing.ts'
import { auditDatabase, auditRecord } from './audit.ts'
import type { AuditFinding } from './findings.ts'
import { reportLines } from './main.ts'

let service: TestService
let testId = ''
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const { body } = await service.call<{ id: string }>('firmA', 'POST /v1/tests', { body: visitSheet })
  testId = body.id
  const note = { kind: 'remark', text: 'The gate sticks.' }
  const made = await service.call<{ id: string }>('firmA', `POST /v1/tests/${testId}/notes`, { body: note })
  await service.call('firmA', `DELETE /v1/tests/${testId}/notes/${made.body.id}`)
  await service.app.ledger.settle()
})
afterAll(() => service.close())

const logKey = ed25519Signer(
  'liftledger.example',
  new Uint8Array(Buffer.from(TEST_SIGNING_KEY, 'base64').subarray(-32)),
).key

test('finds nothing in an honest record, and counts what it read', async () => {
  const report = await auditDatabase(service.databaseUrl, { keys: [formatVerifierKey(logKey)] })
  expect(report).toEqual({
    counts: {
      entries: 4,
      contexts: 1,
      ruleSets: 0,
      qualityDraws: 0,
      tests: 1,
      notes: 1,
      decisions: 0,
      comparisons: 0,
      erased: 1,
      documents: 0,
      keys: 0,
    },
    findings: [],
    found: 0,
  })
  expect(reportLines(report).join('\n')).toContain('Erased     1 of these')
})

test('says so where the log signs with a key that the auditor did not bring', async () => {
  const other = ed25519Signer('liftledger.example', new Uint8Array(32).fill(3)).key
  const { findings } = await auditDatabase(service.databaseUrl, { keys: [formatVerifierKey(other)] })
  expect(findings).toMatchObject([{ code: 'key-unknown', table: 'ledger_entry', row: '0' }])
})

test('needs no more than the role of an auditor', async () => {
  const client = new pg.Client(inRole(service.databaseUrl, 'll_auditor'))
  await client.connect()
  try {
    const findings: AuditFinding[] = []
    await client.query('begin isolation level repeatable read read only')
    const counts = await auditRecord(client, (finding) => void findings.push(finding))
    expect(findings).toEqual([])
    expect(counts.entries).toBe(4)
  } finally {
    await client.end()
  }
})

test('says that an evaluation is another where the calculation is', async () => {
  const { derive } = await import('./derive.ts')
  const { findings } = await auditDatabase(service.databaseUrl, {
    derive: (raw, context, edition) => ({ ...derive(raw, context, edition), canonical: new Uint8Array(3) }),
  })
  expect(findings.map(({ code }) => code)).toEqual(['test-hash-wrong', 'evaluation-differs'])
})

test('tells of a row that no statement can write, and goes on', async () => {
  await onConnection(service.databaseUrl, undefined, async (client) => {
    const findings: AuditFinding[] = []
    await client.query('begin; alter table ll.context_snapshot disable trigger all')
    await client.query('alter table ll.context_snapshot alter body drop not null')
    await client.query('update ll.context_snapshot set body = null')
    const counts = await auditRecord(client, (finding) => void findings.push(finding))
    await client.query('rollback')
    expect(counts.tests).toBe(1)
    expect(findings).toContainEqual(
      expect.objectContaining({ code: 'unreadable', table: 'context_snapshot', column: 'body' }),
    )
  })
})

describe('the command', () => {
  const folders: string[] = []
  afterEach(async () => {
    for (const folder of folders.splice(0)) await rm(folder, { recursive: true, force: true })
  })
  const audit = async (url: string | undefined, ...args: string[]) => {
    const { DATABASE_URL: _, ...env } = process.env
    const program = path.join(import.meta.dirname, 'main.ts')
    return promisify(execFile)(process.execPath, [program, ...args], {
      env: { ...env, ...(url !== undefined && { DATABASE_URL: url }) },
    }).then(
      ({ stdout }) => ({ code: 0, out: stdout, error: '' }),
      ({ code, stdout, stderr }: { code: number; stdout: string; stderr: string }) => ({
        code,
        out: stdout,
        error: stderr,
      }),
    )
  }

  test('ends with 0 where nothing is found, and with 2 where it can not try', async () => {
    expect(await audit(service.databaseUrl)).toMatchObject({ code: 0, out: expect.stringContaining('NOTHING FOUND') })
    expect(await audit(undefined)).toMatchObject({ code: 2, error: expect.stringContaining('DATABASE_URL is missing') })
    const nowhere = await audit('postgres://localhost:1/nothing')
    expect(nowhere).toMatchObject({ code: 2, error: expect.stringContaining('ECONNREFUSED') })
  })

  test('ends with 1 and names place and reason where something is found', async () => {
    const folder = await mkdtemp(path.join(tmpdir(), 'liftledger-audit-'))
    folders.push(folder)
    await onConnection(service.databaseUrl, undefined, (client) =>
      client.query(
        'alter table ll.field_test disable trigger all; update ll.field_test set efficiency = efficiency * 1.05',
      ),
    )
    const file = path.join(folder, 'report.json')
    const { code, out } = await audit(service.databaseUrl, '--json', file)
    expect(code).toBe(1)
    expect(out).toContain('test-not-as-evaluated')
    expect(out).toMatch(/field_test · [0-9a-f-]{36} · efficiency/)
    expect(out).toContain('FOUND: 1 disagreement.')
    expect(JSON.parse(await readFile(file, 'utf8'))).toMatchObject({ found: 1, findings: [{ column: 'efficiency' }] })
  })
})
