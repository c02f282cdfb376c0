/** One row of the read log: as it is held until it is written, as it is stored, and as it is shown and hashed. */
import { canonicalBytes, leafHash } from '@liftledger/ledger'
import { toWire } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import type { LoggedRead } from './schemas.ts'

/** A read that was answered, or is about to be. Names a test or a plant, or says which list. */
export interface Read {
  readonly at: Date
  readonly principal: Pick<Principal, 'keyId' | 'role' | 'firmId' | 'programId'>
  readonly operation: string
  readonly requestId: string
  /** Wire ids, as in the path. */
  readonly test?: string
  readonly plant?: string
  readonly testUuid?: string
  /** Canonical JSON. */
  readonly filter?: string
  readonly count?: number
}

export interface StoredRead {
  readonly place: number
  readonly hour: Date
  readonly at: Date
  readonly key_id: string
  readonly role: string
  readonly firm_id: string | null
  readonly program_id: string | null
  readonly operation: string
  readonly test_id: string | null
  readonly plant_id: string | null
  readonly filter: string | null
  readonly count: number | null
  readonly request_id: string
}

/** A row as it is shown. Every column is in it, since this is what is hashed. */
export function loggedRead(row: StoredRead): LoggedRead {
  return {
    place: row.place,
    hour: row.hour.toISOString(),
    at: row.at.toISOString(),
    key: row.key_id,
    role: row.role as LoggedRead['role'],
    ...(row.firm_id !== null && { firm: toWire('firm', row.firm_id) }),
    ...(row.program_id !== null && { program: toWire('program', row.program_id) }),
    operation: row.operation,
    ...(row.test_id !== null && { test: toWire('test', row.test_id) }),
    ...(row.plant_id !== null && { plant: toWire('plant', row.plant_id) }),
    ...(row.filter !== null && { filter: row.filter }),
    ...(row.count !== null && { count: row.count }),
    request: row.request_id,
  }
}

/** Leaf of a row: SHA-256(0x00 ‖ the row as shown, as canonical JSON) (RFC 6962, 2.1; RFC 8785). */
export const leafOf = (row: StoredRead): Uint8Array => leafHash(canonicalBytes(loggedRead(row)))

const HOUR_MS = 3_600_000

/** Begin of the hour, in UTC. */
export const hourOf = (at: Date): Date => new Date(Math.floor(at.getTime() / HOUR_MS) * HOUR_MS)
