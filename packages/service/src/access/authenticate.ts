/** From what a caller sends, a key or a token, to the principal it stands for. */
import type { Config } from '../config.ts'
import type { Databases } from '../db/database.ts'
import type { Listener } from '../db/listen.ts'
import type { Authenticator } from '../http/auth.ts'
import type { Principal, Role } from '../http/principal.ts'
import { hashKey, keyIdOf, sameHash } from './key.ts'
import { findForGate, findTokenPrincipal, type GateRow, type TokenPrincipalRow } from './queries.ts'
import { Remembered } from './remembered.ts'

export interface Gate extends Authenticator {
  /** Whether word of an ended credential would arrive at this moment. */
  readonly listening: boolean
  close(): Promise<void>
}

interface Surroundings {
  readonly databases: Databases
  readonly config: Config
  now(): Date
}

/** What the database says when a credential changes. */
const CHANNEL = 'll_credential'

/** Compared with where there is nothing to compare with, so that an unknown id costs the same. */
const NOBODY = Buffer.alloc(32)

/** Opens the gate. A connection that hears of ended credentials belongs to it. */
export async function openGate({ databases, config, now }: Surroundings): Promise<Gate> {
  // Loaded only where there is an issuer: it is large.
  const read = config.oidc && (await import('./token.ts')).tokenReader({ ...config.oidc, now })
  const listening = (): boolean => listener.listening
  const keys = new Remembered((id) => findForGate(databases.gate, id), listening)
  const tokens = new Remembered((name) => findTokenPrincipal(databases.gate, nameOf(name)), listening)
  const forget = (): void => {
    keys.clear()
    tokens.clear()
  }
  const listener: Listener = databases.listen(CHANNEL, {
    word: (id) => {
      keys.forget(id)
      // Those are remembered by issuer and subject; they change rarely.
      tokens.clear()
    },
    // What was said meanwhile nobody knows.
    gap: forget,
  })

  async function byKey(key: string): Promise<Principal | undefined> {
    const id = keyIdOf(key, config.keyEnvironment)
    if (id === undefined) return undefined
    const at = now()
    const row = await keys.find(id, at.getTime())
    const same = sameHash(hashKey(key, config.keyPepper), row?.hash ?? NOBODY)
    if (row === undefined || !same || row.revoked_at !== null || row.expires_at <= at) return undefined
    return principalOf(row)
  }

  async function byToken(token: string): Promise<Principal | undefined> {
    const named = await read?.(token)
    const row = named && (await tokens.find(JSON.stringify([named.issuer, named.subject]), now().getTime()))
    return row && principalOf(row)
  }

  return {
    authenticate: (credential) => (credential.startsWith('llk_') ? byKey(credential) : byToken(credential)),
    isFamiliar: (credential) => {
      const id = keyIdOf(credential, config.keyEnvironment)
      return id !== undefined && keys.has(id)
    },
    get listening() {
      return listener.listening
    },
    close: () => listener.close(),
  }
}

function nameOf(name: string): { issuer: string; subject: string } {
  const [issuer, subject] = JSON.parse(name) as [string, string]
  return { issuer, subject }
}

function principalOf(row: GateRow | TokenPrincipalRow): Principal {
  return {
    role: row.role as Role,
    keyId: row.id,
    ...(row.firm_id !== null && { firmId: row.firm_id }),
    ...(row.program_id !== null && { programId: row.program_id }),
    ...(row.holder !== null && { holder: row.holder }),
    scopes: row.scopes,
  }
}
