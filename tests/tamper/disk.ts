/**
 * Changes on disk: with the server down one random byte of a table's file gets another value. Many copies of the
 * record are changed at once, each in one byte, so that one start serves many trials.
 *
 * Where a byte holds nothing (free space, hints, padding), a dump of everything is the same before and after: such a
 * trial is counted apart. The server's own checksums of pages are ignored, as by somebody who writes them anew.
 */
import { mkdtemp, open, rm, stat } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import type pg from 'pg'
import { auditRecord } from '../../packages/service/src/audit/audit.ts'
import { coverage, isCovered } from '../../packages/service/src/audit/coverage.ts'
import type { Derive } from '../../packages/service/src/audit/derive.ts'
import type { AuditFinding } from '../../packages/service/src/audit/findings.ts'
import { startEmbedded } from '../../packages/service/src/db/embedded.ts'
import { asAdmin, connected, dropped, honestDatabase, urlOf } from './benches.ts'
import { Chance } from './chance.ts'
import { type Outcome, remembered } from './trials.ts'

const NAME = 'honest'
const COPIES_AT_ONCE = 20
const SETTINGS = { fsync: 'off', autovacuum: 'off', full_page_writes: 'off' }

interface Flip {
  readonly copy: string
  readonly table: string
  readonly file: string
}

/** Files of the tables of which every column but the unprovable ones is covered, with the table of what is stored aside. */
const FILES = `select c.relname::text as table, pg_relation_filepath(f.oid) as file
  from pg_class c join pg_class f on f.oid in (c.oid, c.reltoastrelid)
  where c.relnamespace = 'll'::regnamespace and c.relkind = 'r' and pg_relation_size(f.oid) > 0`

export async function tryOnDisk({
  tests,
  seed,
  trials,
}: {
  tests: number
  seed: number
  trials: number
}): Promise<Outcome[]> {
  const directory = await mkdtemp(path.join(tmpdir(), 'liftledger-tamper-disk-'))
  const start = () => startEmbedded({ directory, persistent: true, settings: SETTINGS })
  const chance = new Chance(seed + 2)
  const derive = remembered()
  const outcomes: Outcome[] = []
  let server = await start()
  try {
    await honestDatabase(server.url, { name: NAME, tests, seed })
    await asAdmin(urlOf(server.url, NAME), (client) => client.query('vacuum freeze'))
    const before = await dumped(urlOf(server.url, NAME))
    for (let done = 0; done < trials; done += COPIES_AT_ONCE) {
      const { flips, data } = await copies(server.url, Math.min(COPIES_AT_ONCE, trials - done), chance)
      await server.stop()
      for (const flip of flips) await flipByte(path.join(data, flip.file), chance)
      server = await start()
      for (const flip of flips) outcomes.push(await judge(urlOf(server.url, flip.copy), { flip, before, derive }))
      await dropped(
        server.url,
        flips.map(({ copy }) => copy),
      )
      console.error(`on disk: ${outcomes.length} trials`)
    }
  } finally {
    await server.stop()
    await rm(directory, { recursive: true, force: true })
  }
  return outcomes
}

async function copies(adminUrl: string, count: number, chance: Chance): Promise<{ flips: Flip[]; data: string }> {
  const covered = Object.entries(coverage).flatMap(([table, { row, columns }]) =>
    row !== undefined && Object.values(columns).filter(isCovered).length > 1 ? [table] : [],
  )
  const flips: Flip[] = []
  const data = await asAdmin(adminUrl, async (admin) => {
    for (let n = 0; n < count; n++) await admin.query(`create database copy_${n} template ${NAME} strategy file_copy`)
    await admin.query('checkpoint')
    return (await admin.query<{ data: string }>("select current_setting('data_directory') as data")).rows[0]!.data
  })
  for (let n = 0; n < count; n++) {
    const copy = `copy_${n}`
    const { rows } = await asAdmin(urlOf(adminUrl, copy), (client) =>
      client.query<{ table: string; file: string }>(FILES),
    )
    flips.push({ copy, ...chance.of(rows.filter(({ table }) => covered.includes(table))) })
  }
  return { flips, data }
}

async function flipByte(file: string, chance: Chance): Promise<void> {
  const { size } = await stat(file)
  const handle = await open(file, 'r+')
  try {
    const at = chance.below(size)
    const { buffer } = await handle.read(Buffer.alloc(1), 0, 1, at)
    buffer[0] = buffer[0]! ^ (1 + chance.below(255))
    await handle.write(buffer, 0, 1, at)
  } finally {
    await handle.close()
  }
}

/** What the tables hold, a line each: `covered` of the columns that are covered, `all` of every column. */
interface Dump {
  readonly covered: string
  readonly all: string
}

/** Undefined where not everything can be read. */
async function dumped(url: string): Promise<Dump | undefined> {
  const client = await connected(url)
  const hashes = async (list: (table: string) => string): Promise<string> => {
    const lines: string[] = []
    for (const table of Object.keys(coverage)) {
      const { rows } = await client.query<{ hash: string }>(
        `select md5(coalesce(string_agg(t::text, e'\n' order by t::text), '')) as hash
         from (select ${list(table)} from ll.${table}) t`,
      )
      lines.push(`${table} ${rows[0]!.hash}`)
    }
    return lines.join('\n')
  }
  try {
    await ignoreChecksums(client)
    return { covered: await hashes(coveredColumns), all: await hashes(() => '*') }
  } catch {
    return undefined
  } finally {
    await client.end().catch(() => undefined)
  }
}

function coveredColumns(table: string): string {
  const { columns, row } = coverage[table]!
  const names = Object.entries(columns).flatMap(([name, cover]) => (isCovered(cover) ? [`"${name}"`] : []))
  return row === undefined || names.length === 0 ? 'null' : names.join(', ')
}

async function ignoreChecksums(client: pg.Client): Promise<void> {
  await client.query('set ignore_checksum_failure = on')
  await client.query('set enable_indexscan = off; set enable_indexonlyscan = off; set enable_bitmapscan = off')
}

async function judge(
  url: string,
  { flip, before, derive }: { flip: Flip; before: Dump | undefined; derive: Derive },
): Promise<Outcome> {
  const dump = await dumped(url)
  const findings: AuditFinding[] = []
  try {
    const client = await connected(url)
    try {
      await ignoreChecksums(client)
      await client.query('begin isolation level repeatable read read only')
      await auditRecord(client, (finding) => void findings.push(finding), { derive })
    } finally {
      await client.end().catch(() => undefined)
    }
  } catch (error) {
    // The server went down over a page; what was being read was told of before.
    if (findings.length === 0) throw error
  }
  const named = findings.flatMap(({ or = [], ...own }) => [own, ...or])
  const placed = named.some(({ table }) => table === flip.table)
  const found = findings.length > 0
  const same = dump !== undefined && dump.covered === before?.covered
  const what = dump === undefined ? 'unreadable' : changedTables(before, dump)
  const missed = `${flip.file} of ${flip.table}: ${what}, ${JSON.stringify(findings.slice(0, 3))}`
  return {
    target: { kind: 'on-disk', table: flip.table },
    refused: same && !found,
    ...(same && !found && { why: dump.all === before?.all ? 'holds-nothing' : 'not-covered' }),
    found,
    placed,
    column: false,
    guard: undefined,
    codes: [...new Set(findings.map(({ code }) => code))],
    ...(!(found && placed) && { missed }),
  }
}

const changedTables = (before: Dump | undefined, after: Dump): string => {
  const was = new Set(before?.covered.split('\n'))
  return after.covered
    .split('\n')
    .filter((line) => !was.has(line))
    .join(' ')
}
