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
  const firm = principal.role === 'firm' ? ownId(principal, principal.firmId) : ''
  const program = principal.role === 'program' ? ownId(principal, principal.programId) : ''
  // `true`: for this transaction only. Literals, since several statements of one message take no parameters.
  const settings = [
    `set_config('app.firm', ${pg.escapeLiteral(firm)}, true)`,
    `set_config('app.program', ${pg.escapeLiteral(program)}, true)`,
  ]
  return `begin; select ${settings.join(', ')}`
}

function ownId(principal: Principal, id: string | undefined): string {
  if (id === undefined || !UUID.test(id)) {
    throw new Error(`Key ${principal.keyId} has the role ${principal.role} but names no ${principal.role}.`)
  }
  return id
}
