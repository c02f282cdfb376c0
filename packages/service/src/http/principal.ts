/** Who is calling, as the key or token says, and what each role may do at most. */
export const ROLES = ['firm', 'program', 'auditor', 'keeper', 'admin'] as const

export type Role = (typeof ROLES)[number]

export interface Principal {
  readonly role: Role
  /** The 12-character lookup part of the key, or the id of the token's principal; not secret. */
  readonly keyId: string
  /** UUID of the firm; with role `firm` only. */
  readonly firmId?: string
  /** UUID of the program; with role `program` only. */
  readonly programId?: string
  /** Code of the person who holds the key, where the office said so. */
  readonly holder?: string
  /** What the key may do within its role, as `noun:read` or `noun:write`. */
  readonly scopes: readonly string[]
}

/** The role is the ceiling; a key's scopes narrow it. A trace, results and findings are read with `tests:read`. */
export const ROLE_SCOPES = {
  firm: [
    'tests:read',
    'tests:write',
    'evaluations:write',
    'plants:read',
    'plants:write',
    'testers:read',
    'testers:write',
    'instruments:read',
    'instruments:write',
    'programs:read',
    'notes:read',
    'notes:write',
  ],
  program: ['tests:read', 'programs:read', 'decisions:write', 'rule-sets:write', 'quality-visits:write'],
  auditor: [
    'tests:read',
    'firms:read',
    'programs:read',
    'plants:read',
    'testers:read',
    'instruments:read',
    'notes:read',
  ],
  keeper: ['tests:read'],
  admin: [
    'keys:read',
    'keys:write',
    'firms:read',
    'firms:write',
    'programs:read',
    'programs:write',
    'plants:read',
    'plants:write',
  ],
} as const satisfies Record<Role, readonly string[]>

export type Scope = (typeof ROLE_SCOPES)[Role][number]

export const SCOPES: readonly Scope[] = [...new Set(Object.values(ROLE_SCOPES).flat())].toSorted()
