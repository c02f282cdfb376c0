/** Makes token principals: whom a subject of the issuer stands for, and what that one may do here. */
import type { Deps } from '../deps.ts'
import type { Principal } from '../http/principal.ts'
import { Problem, type ProblemItem } from '../http/problem.ts'
import { grantColumns, grantMistakes, refuseUnknownOwner, toGrant } from './grant.ts'
import { drawId } from './key.ts'
import { insertTokenPrincipal, type TokenPrincipalRow } from './queries.ts'
import type { TokenPrincipal, TokenPrincipalToMake } from './schemas.ts'

/** Throws `conflict` if the subject has a principal already. */
export async function createTokenPrincipal(
  { databases, config, now }: Deps,
  asked: TokenPrincipalToMake,
  by: Principal,
): Promise<TokenPrincipal> {
  const problems = [...grantMistakes(asked), ...issuerMistakes(asked.issuer, config.oidc?.issuer)]
  if (problems.length > 0) throw new Problem('invalid-request', 'The principal can not be made.', { errors: problems })
  const { issuer, subject } = asked
  const row: TokenPrincipalRow = {
    id: drawId(),
    issuer,
    subject,
    ...grantColumns(asked),
    created_at: now(),
    removed_at: null,
  }
  await databases.asPrincipal(by, async (tx) => {
    await refuseUnknownOwner(tx, asked)
    if (await insertTokenPrincipal(tx, row)) return
    throw new Problem('conflict', 'This subject of the issuer stands for someone already; remove that principal first.')
  })
  return toTokenPrincipal(row)
}

/** Where the service trusts an issuer, a principal of another one could never come. */
function issuerMistakes(issuer: string, trusted: string | undefined): ProblemItem[] {
  if (trusted === undefined || issuer === trusted) return []
  const message = 'Tokens of this issuer are not taken here; write the address exactly as it is set.'
  return [{ pointer: '/issuer', code: 'unknown-value', message, allowed: [trusted] }]
}

/** Wire form of a row. */
export function toTokenPrincipal(row: TokenPrincipalRow): TokenPrincipal {
  return {
    id: row.id,
    issuer: row.issuer,
    subject: row.subject,
    ...toGrant(row),
    createdAt: row.created_at.toISOString(),
    ...(row.removed_at !== null && { removedAt: row.removed_at.toISOString() }),
  }
}
