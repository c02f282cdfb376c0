/**
 * A Kysely dialect whose transactions begin by saying for whom.
 *
 * `begin` and the settings travel as one message, together with the first query (the pool's connections
 * are pipelined), so that row-level security costs no round trip of its own.
 */
import {
  CompiledQuery,
  type DatabaseConnection,
  PostgresDialect,
  PostgresDriver,
  type TransactionSettings,
} from 'kysely'
import pg from 'pg'
import type { Principal } from '../http/principal.ts'

export class PrincipalDialect extends PostgresDialect {
  readonly #pool: pg.Pool
  readonly #opening: string

  /** @throws for a firm's principal without a firm, or a program's without a program. */
  constructor(pool: pg.Pool, principal: Principal) {
    super({ pool })
    this.#pool = pool
    this.#opening = openingFor(principal)
  }

  override createDriver(): PrincipalDriver {
    return new PrincipalDriver(this.#pool, this.#opening)
  }
}

class PrincipalDriver extends PostgresDriver {
  readonly #opening: string
  #opened: Promise<unknown> | undefined

  constructor(pool: pg.Pool, opening: string) {
    super({ pool })
    this.#opening = opening
  }

  /** Doesn't wait: a failed opening makes each query behind it fail too, and the commit reports it. */
  override async beginTransaction(connection: DatabaseConnection, _settings: TransactionSettings): Promise<void> {
    this.#opened = connection.executeQuery(CompiledQuery.raw(this.#opening))
    this.#opened.catch(() => undefined)
  }

  override async commitTransaction(connection: DatabaseConnection): Promise<void> {
    await this.#opened
    await super.commitTransaction(connection)
  }
}

const UUID = /^[0-9a-f-]{36}$/

function openingFor(principal: Principal): string {
  const reader = readerOf(principal)
  // `true`: for this transaction only. Literals, since several statements of one message take no parameters.
  const settings = Object.values(SETTINGS).map(
    (name) => `set_config('${name}', ${pg.escapeLiteral(name === reader?.setting ? reader.id : '')}, true)`,
  )
  return `begin; select ${settings.join(', ')}`
}

/** The settings that policies look at, by the role whose policies do. */
export const SETTINGS = { firm: 'app.firm', program: 'app.program' } as const
export type ReaderSetting = (typeof SETTINGS)[keyof typeof SETTINGS]

/**
 * Whose rows a principal sees, and the setting that says so; undefined for roles that see all of what they may see.
 *
 * @throws for a firm's principal without a firm, or a program's without a program.
 */
export function readerOf(principal: Principal): { readonly setting: ReaderSetting; readonly id: string } | undefined {
  const { role, firmId, programId } = principal
  if (role !== 'firm' && role !== 'program') return undefined
  const id = role === 'firm' ? firmId : programId
  if (id === undefined || !UUID.test(id)) {
    throw new Error(`Key ${principal.keyId} has the role ${role} but names no ${role}.`)
  }
  return { setting: SETTINGS[role], id }
}
