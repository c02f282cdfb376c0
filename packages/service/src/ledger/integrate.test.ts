/** The tree that follows the entries: what it writes, what it refuses to sign, and that it is always the same. */
import { parseCheckpoint, parseNote, toHex, verifyNote } from '@liftledger/ledger'
import pg from 'pg'
import { pino } from 'pino'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { type ClonedDatabase, cloneDatabase } from '../../../../tests/setup/database.ts'
import { type Databases, openDatabases } from '../db/database.ts'
import { type IntegrateOptions, integrate, KeyNotInForce, RefusedToSign, type Step } from './integrate.ts'
import { putInForce } from './key-record.ts'
import { hasTile, loadTile, newestCheckpoint } from './stored-tree.ts'
import { addEntries, keyOf, ORIGIN, publicKeyOf, rootFromEntries, signersOf } from './testing.ts'

const log = pino({ level: 'silent' })
const now = () => new Date('2026-05-12T17:00:00.000Z')

let database: ClonedDatabase
let databases: Databases
let superuser: pg.Client

beforeEach(async () => {
  database = await cloneDatabase()
  databases = await openDatabases(database.url, { production: false, log })
  superuser = new pg.Client(database.url)
  await superuser.connect()
  await enforce(1)
})
afterEach(async () => {
  await superuser.end()
  await databases.close()
  await database.drop()
})

const settings = { originToBeginWith: ORIGIN }
const enforce = (byte: number, previous?: number) =>
  putInForce(
    databases.integrator,
    { settings, current: keyOf(byte), ...(previous !== undefined && { previous: keyOf(previous) }) },
    now,
  )
const step = (more: Partial<IntegrateOptions> = {}): Promise<Step | undefined> =>
  integrate({ pool: databases.integrator, signers: signersOf(1), now, seen: undefined, ...more })

/** Steps until nothing is left. */
async function all(more: Partial<IntegrateOptions> = {}): Promise<number> {
  for (;;) {
    const { covered, more: again } = (await step(more))!
    if (!again) return covered.size
  }
}

/** Takes the guards off, as only a superuser can, for one statement. */
async function tamper(statement: string, table: string): Promise<void> {
  await superuser.query(`alter table ll.${table} disable trigger all`)
  await superuser.query(statement)
  await superuser.query(`alter table ll.${table} enable trigger all`)
}

const storedTree = async () =>
  (
    await superuser.query(
      `select (select json_agg(t order by level, index) from ll.ledger_tile t) as tiles,
              (select json_agg(c order by size) from ll.ledger_checkpoint c) as checkpoints,
              (select row_to_json(t) from ll.ledger_tree t) as tree`,
    )
  ).rows[0]

describe('the tree', () => {
  test.each([1, 2, 255, 256, 257, 1025])('of %i entries has the root that its entries have', async (size) => {
    await addEntries(superuser, size - 1)
    expect(await all()).toBe(size)
    const { note, root } = (await newestCheckpoint(databases.integrator))!
    expect(parseCheckpoint(parseNote(note).body)).toEqual({ origin: ORIGIN, size, root })
    expect(toHex(root)).toBe(toHex(await rootFromEntries(superuser, size)))
    expect(await verifyNote(note, [publicKeyOf(1)])).toHaveLength(1)
  })

  test('is the same in whatever steps it grew', async () => {
    await addEntries(superuser, 700)
    for (const entriesMax of [1, 254, 3, 255, 1, 187]) await step({ entriesMax })
    expect(await all()).toBe(701)
    const { rows } = await superuser.query<{ level: number; index: number; hashes: Buffer; root: Buffer }>(
      'select level, index, hashes, root from ll.ledger_tile order by level, index',
    )
    expect(rows.map(({ level, index }) => [level, Number(index)])).toEqual([
      [0, 0],
      [0, 1],
    ])
    const leaves = await superuser.query<{ all: Buffer }>(
      "select string_agg(leaf_hash::bytea, ''::bytea order by index) as all from ll.ledger_entry where index < 512",
    )
    expect(Buffer.concat(rows.map(({ hashes }) => hashes)).equals(leaves.rows[0]!.all)).toBe(true)
    expect(toHex(rows[1]!.root)).not.toBe(toHex(rows[0]!.root))
    expect(toHex((await newestCheckpoint(databases.integrator))!.root)).toBe(
      toHex(await rootFromEntries(superuser, 701)),
    )
  })

  test('of more than 65,536 entries fills a tile of the next level, with the roots of those below', async () => {
    await addEntries(superuser, 66_000)
    await step({ entriesMax: 300 })
    expect(await all()).toBe(66_001)
    const { rows } = await superuser.query<{ hashes: Buffer }>(
      'select hashes from ll.ledger_tile where level = 1 and index = 0',
    )
    const roots = await superuser.query<{ all: Buffer }>(
      "select string_agg(root::bytea, ''::bytea order by index) as all from ll.ledger_tile where level = 0 and index < 256",
    )
    expect(rows[0]!.hashes.equals(roots.rows[0]!.all)).toBe(true)
    expect(toHex((await newestCheckpoint(databases.integrator))!.root)).toBe(
      toHex(await rootFromEntries(superuser, 66_001)),
    )
    // What is not full is read from below: a hash of level 2 is the root of the tile of level 1.
    expect(hasTile(66_001, { level: 2, index: 0, width: 1 })).toBe(true)
    expect(await loadTile(databases.integrator, { level: 2, index: 0, width: 1 })).toHaveLength(32)
    expect(await loadTile(databases.integrator, { level: 1, index: 1, width: 1 })).toHaveLength(32)
  })

  test('signs nothing where there is nothing new', async () => {
    await step()
    const before = await storedTree()
    expect(await step()).toMatchObject({ added: 0, more: false, covered: { size: 1 } })
    expect(await storedTree()).toEqual(before)
  })
})

describe('a step that fails', () => {
  const failing = (table: string, deed: string) =>
    superuser.query(`
      create or replace function ll.fail() returns trigger language plpgsql as $$ begin raise exception 'cut'; end $$;
      create trigger fail before ${deed} on ll.${table} for each statement execute function ll.fail()`)

  test.each([
    ['its tiles', 'ledger_tile', 'insert'],
    ['its checkpoint', 'ledger_checkpoint', 'insert'],
    ['the row of the tree', 'ledger_tree', 'update'],
  ])('at %s leaves nothing behind, and is done again with the same outcome', async (_, table, deed) => {
    await addEntries(superuser, 300)
    await step({ entriesMax: 250 })
    const before = await storedTree()
    await failing(table, deed)
    await expect(step()).rejects.toThrow('cut')
    expect(await storedTree()).toEqual(before)
    await superuser.query(`drop trigger fail on ll.${table}`)
    expect(await all()).toBe(301)
    expect(toHex((await newestCheckpoint(databases.integrator))!.root)).toBe(
      toHex(await rootFromEntries(superuser, 301)),
    )
  })

  test('because its connection was cut before the commit is done again', async () => {
    await addEntries(superuser, 300)
    await superuser.query(`
      create function ll.cut() returns trigger language plpgsql as $$
      begin perform pg_terminate_backend(pg_backend_pid()); return null; end $$;
      create trigger cut after update on ll.ledger_tree for each statement execute function ll.cut()`)
    await expect(step()).rejects.toThrow()
    await superuser.query('drop trigger cut on ll.ledger_tree')
    expect(await all()).toBe(301)
  })
})

describe('nothing is signed', () => {
  beforeEach(async () => {
    await addEntries(superuser, 300)
    await step({ entriesMax: 100 })
  })
  const refused = async (reason: RegExp, more: Partial<IntegrateOptions> = {}) => {
    const before = await storedTree()
    const outcome = step(more)
    await expect(outcome).rejects.toThrow(RefusedToSign)
    await expect(outcome).rejects.toThrow(reason)
    expect(await storedTree()).toEqual(before)
  }

  test('where a new entry is not what its hash says', async () => {
    await superuser.query('alter table ll.ledger_entry drop constraint ledger_entry_hash_check')
    await tamper(`update ll.ledger_entry set entry = set_byte(entry, 5, 33) where index = 150`, 'ledger_entry')
    await refused(/Entry 150 is not what its hash says/)
  })

  test('where a new entry is missing', async () => {
    await tamper('delete from ll.ledger_entry where index = 150', 'ledger_entry')
    await refused(/Entry 150 is missing; the next one there is 151/)
  })

  test('where the stored subtrees are not those of the last checkpoint', async () => {
    await tamper('update ll.ledger_tree set peaks = set_byte(peaks, 3, 255 - get_byte(peaks, 3))', 'ledger_tree')
    await refused(/does not have the root of the last checkpoint/)
  })

  test('where the tree was set back', async () => {
    await tamper(`update ll.ledger_tree set size = 0, peaks = ''`, 'ledger_tree')
    await refused(/does not have the root of the last checkpoint, of 100/)
  })

  test('where the last checkpoint was changed, or its row', async () => {
    await tamper(
      `update ll.ledger_checkpoint set note = replace(note, '— ${ORIGIN} ', '— ${ORIGIN} AAAA')`,
      'ledger_checkpoint',
    )
    await refused(/not as it was signed/)
  })

  test('where the last checkpoint is another’s', async () => {
    await tamper(`update ll.ledger_checkpoint set note = replace(note, E'\\n100\\n', E'\\n99\\n')`, 'ledger_checkpoint')
    await refused(/says something else than its row/)
  })

  test('where the log went back behind what this process saw', async () => {
    await refused(/does not continue it/, { seen: { size: 101, root: new Uint8Array(32) } })
    await refused(/does not continue it/, { seen: { size: 100, root: new Uint8Array(32) } })
  })

  test('where hashes of an open tile were changed after they were signed', async () => {
    await superuser.query('alter table ll.ledger_entry drop constraint ledger_entry_hash_check')
    await tamper(`update ll.ledger_entry set leaf_hash = sha256('x') where index = 7`, 'ledger_entry')
    await refused(/Stored hashes 0 to 99 of level 0 are not those that the tree was made of/)
  })

  test('by a key that is not in force', async () => {
    await enforce(2, 1)
    await expect(step()).rejects.toThrow(KeyNotInForce)
    expect(await all({ signers: signersOf(2, 1) })).toBe(302)
    const { note } = (await newestCheckpoint(databases.integrator))!
    expect(await verifyNote(note, [publicKeyOf(1), publicKeyOf(2)])).toHaveLength(2)
    // After thirty days the old one signs no more.
    await addEntries(superuser, 1)
    expect(await all({ signers: signersOf(2, 1), now: () => new Date('2026-06-11T17:00:00.000Z') })).toBe(303)
    const { note: later } = (await newestCheckpoint(databases.integrator))!
    expect(await verifyNote(later, [publicKeyOf(1), publicKeyOf(2)])).toEqual([publicKeyOf(2)])
  })
})

test('of many at once, one step is taken and the others go by', async () => {
  await addEntries(superuser, 2_000)
  const steps = await Promise.all(Array.from({ length: 3 }, () => step()))
  expect(steps.filter((one) => one !== undefined && one.added > 0)).toHaveLength(1)
  expect(await all()).toBe(2_001)
})
