/**
 * The context of a test: the records its evaluation leans on, as they stand for the day of the visit. A door:
 * submissions and evaluations load it here.
 */
import type { Context, NamedInstrument } from '@liftledger/calc'
import { type Selectable, sql, type Transaction } from 'kysely'
import type { Database, Instrument, Plant } from '../db/schema.ts'
import { referenceNotFound } from '../http/problem.ts'
import { findTesterByCode } from './queries.ts'

type Tx = Transaction<Database>

/** What a sheet names, by code. */
export interface References {
  readonly plantCode: string
  readonly testerCode: string
  /** With the JSON Pointer of the member that names each. */
  readonly instruments: readonly NamedInstrument[]
  /** Day of the visit, `YYYY-MM-DD`. */
  readonly testedOn: string
}

export interface FoundContext {
  readonly context: Context
  /** UUIDs. */
  readonly plantId: string
  readonly testerId: string
}

/**
 * The context as it stands, seen with the eyes of the transaction's principal.
 *
 * Equipment and instruments as in force on the day; all qualifications, since whether one stood is for the
 * evaluation to say. Throws `reference-not-found` with the pointers of all records that are not visible.
 */
export async function loadContext(tx: Tx, references: References): Promise<FoundContext> {
  const { plantCode, testerCode, testedOn } = references
  const codes = references.instruments.map(({ code }) => code)
  // Sent together: the connection is pipelined, so the three questions cost one round trip.
  const [plant, tester, instruments] = await Promise.all([
    plantOn(tx, plantCode, testedOn),
    findTesterByCode(tx, testerCode),
    instrumentsOn(tx, codes, testedOn),
  ])
  const known = new Set(instruments.map(({ code }) => code))
  const missing = [
    ...(plant ? [] : [{ pointer: '/plant', noun: 'plant', code: plantCode }]),
    ...(tester ? [] : [{ pointer: '/tester', noun: 'tester', code: testerCode }]),
    ...references.instruments.filter(({ code }) => !known.has(code)).map((named) => ({ ...named, noun: 'instrument' })),
  ]
  if (plant === undefined || tester === undefined || missing.length > 0) throw referenceNotFound(missing)
  // Rows were checked when they were registered; here they only change their form.
  const context = {
    plant: {
      code: plant.code,
      kind: plant.kind,
      ...(plant.region !== null && { region: plant.region }),
      ...(plant.revision !== null && {
        equipment: { revision: plant.revision, effectiveFrom: plant.effective_from, ...(plant.facts as object) },
      }),
    },
    tester: {
      code: tester.code,
      qualifications: tester.held.toSorted(byText(({ code, validFrom }) => `${code} ${validFrom}`)),
    },
    instruments: instruments
      .map(({ code, kind, facts }) => ({ code, kind, ...(facts as object | null) }))
      .toSorted(byText(({ code }) => code)),
  } as Context
  return { context, plantId: plant.id, testerId: tester.id }
}

/** Order by code units, the same whatever the collation of the database. */
const byText =
  <T>(key: (item: T) => string) =>
  (a: T, b: T): number =>
    key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0

interface InForce {
  readonly revision: number | null
  readonly effective_from: string | null
  readonly facts: unknown
}

/** The plant with its equipment on a day: the greatest (effective_from, revision) up to it. */
async function plantOn(tx: Tx, code: string, day: string): Promise<(Selectable<Plant> & InForce) | undefined> {
  const { rows } = await sql<Selectable<Plant> & InForce>`
    select plant.*, in_force.revision, in_force.effective_from, in_force.facts
    from plant
    left join lateral (
      select revision, effective_from, facts
      from plant_equipment
      where plant_id = plant.id and effective_from <= ${day}
      order by effective_from desc, revision desc
      limit 1
    ) in_force on true
    where plant.code = ${code}
  `.execute(tx)
  return rows[0]
}

/** Instruments with what holds of them on a day; one of which nothing holds yet has its kind alone. */
async function instrumentsOn(
  tx: Tx,
  codes: readonly string[],
  day: string,
): Promise<(Selectable<Instrument> & InForce)[]> {
  if (codes.length === 0) return []
  const { rows } = await sql<Selectable<Instrument> & InForce>`
    select instrument.*, in_force.revision, in_force.effective_from, in_force.facts
    from instrument
    left join lateral (
      select revision, effective_from, facts
      from instrument_revision
      where instrument_id = instrument.id and effective_from <= ${day}
      order by effective_from desc, revision desc
      limit 1
    ) in_force on true
    where instrument.code = any (${codes}::text[])
  `.execute(tx)
  return rows
}
