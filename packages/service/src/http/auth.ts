/**
 * Who may call what, and how often. Each route declares who in its `config.access`; a route that doesn't fails at
 * start.
 *
 * How a credential becomes a principal is given in by `app.ts`: this file knows the header, the roles, the scopes
 * and the limits.
 */
import type { FastifyInstance, FastifyReply, FastifyRequest, onRouteHookHandler } from 'fastify'
import { addressGroup } from './address-group.ts'
import { type Principal, ROLE_SCOPES, type Role, type Scope } from './principal.ts'
import { Problem } from './problem.ts'
import { type Buckets, type Level, rateLimitFields } from './rate-limit.ts'

/** Open to everyone, or to the roles named, with a key that has the scope. */
export type Access =
  | 'public'
  | {
      readonly roles: readonly Role[]
      readonly scope: Scope
      /** What callers of other roles are told beyond that they may not. */
      readonly others?: string
    }

declare module 'fastify' {
  interface FastifyContextConfig {
    access: Access
    /** Asked by who keeps the service running, and answered however much others ask. */
    probe?: true
  }
  interface FastifyRequest {
    /** Who is calling. Not there on public routes. */
    principal: Principal
  }
}

export interface Authenticator {
  /** The principal a key or token stands for; undefined for one that is unknown, wrong, expired or revoked. */
  authenticate(credential: string): Promise<Principal | undefined>
  /** Whether it names a key that was found lately. Asks nobody. */
  isFamiliar(credential: string): boolean
}

/**
 * Buckets by credential, and by address: for credentials that are none, and for requests that need none. Absent: no
 * limit.
 */
export interface CallLimits {
  readonly byCredential?: Buckets
  readonly failuresByAddress?: Buckets
  readonly publicByAddress?: Buckets
}

export function registerAuth(app: FastifyInstance, authenticator: Authenticator, limits: CallLimits = {}): void {
  app.decorateRequest('principal')
  app.addHook('onRoute', requireAccess)
  app.addHook('onRequest', async (request, reply) => {
    if (request.url.includes('llk_')) throw keyInAddress()
    if (request.is404) return
    const { access } = request.routeOptions.config
    if (access === 'public') {
      if (request.routeOptions.config.probe !== true) limitStrangers(request, limits)
      return
    }
    // Before it is known whether he may, so that the log says who was refused.
    request.principal = await identify(request, authenticator, limits)
    limitCalls(reply, request.principal, limits)
    admit(request.principal, access)
  })
}

const requireAccess: onRouteHookHandler = (route) => {
  const access = route.config?.access
  if (access === undefined) throw new Error(`Route ${route.method} ${route.url} must declare config.access.`)
  if (access === 'public') return
  for (const role of access.roles) {
    // A scope that the role can't have would lock the operation for ever.
    if (!(ROLE_SCOPES[role] as readonly Scope[]).includes(access.scope)) {
      throw new Error(`Route ${route.method} ${route.url}: role ${role} can't have the scope ${access.scope}.`)
    }
  }
}

/** Throws `unauthenticated` for no or no good credential, `rate-limited` where too many of those came from the address. */
async function identify(
  request: FastifyRequest,
  authenticator: Authenticator,
  { failuresByAddress }: CallLimits,
): Promise<Principal> {
  const credential = bearer(request)
  // Nothing was tried, so nothing is counted.
  if (credential === undefined) throw unauthenticated()
  const address = addressGroup(request.ip)
  // Guesses are not even looked up any more. A key that was good a moment ago is: behind one address stand many,
  // and one of them with an old key must not lock out the others.
  const before = failuresByAddress?.look(address)
  if (before?.allowed === false && !authenticator.isFamiliar(credential)) throw tooManyFailures(before)
  const principal = await authenticator.authenticate(credential)
  if (principal !== undefined) return principal
  failuresByAddress?.take(address)
  throw unauthenticated()
}

/** Whoever asks without a key is known by the address alone. */
function limitStrangers(request: FastifyRequest, { publicByAddress }: CallLimits): void {
  const level = publicByAddress?.take(addressGroup(request.ip))
  if (level === undefined || level.allowed) return
  throw new Problem('rate-limited', 'Too many requests without a key came from this address.', {
    retryAfterS: secondsOf(level),
  })
}

function limitCalls(reply: FastifyReply, principal: Principal, { byCredential }: CallLimits): void {
  if (byCredential === undefined) return
  const level = byCredential.take(principal.keyId)
  reply.headers(rateLimitFields('key', byCredential.quota, level))
  if (level.allowed) return
  const { perMinute } = byCredential.quota
  throw new Problem('rate-limited', `This key may ask ${perMinute} times a minute here; nothing was stored.`, {
    retryAfterS: secondsOf(level),
  })
}

function tooManyFailures(level: Level): Problem {
  return new Problem('rate-limited', 'Too many keys that are none came from this address.', {
    retryAfterS: secondsOf(level),
  })
}

const secondsOf = ({ nextS }: Level): number => Math.max(1, Math.ceil(nextS))

/** A key, or a token, which is longer. */
function bearer(request: FastifyRequest): string | undefined {
  return /^Bearer ([!-~]{1,8192})$/i.exec(request.headers.authorization ?? '')?.[1]
}

function admit(principal: Principal, access: Exclude<Access, 'public'>): void {
  if (!access.roles.includes(principal.role)) {
    throw new Problem(
      'forbidden',
      `This needs the scope ${access.scope} of a key with role ${access.roles.join(' or ')}; this key has role ${principal.role}.${access.others === undefined ? '' : ` ${access.others}`}`,
    )
  }
  if (!principal.scopes.includes(access.scope)) {
    throw new Problem('forbidden', `This needs the scope ${access.scope}, which this key lacks.`)
  }
}

/** One wording for every reason, so that an answer tells nothing about keys that exist. */
function unauthenticated(): Problem {
  return new Problem('unauthenticated', 'Send a valid API key as Authorization: Bearer.', {
    headers: { 'www-authenticate': 'Bearer' },
  })
}

function keyInAddress(): Problem {
  return new Problem(
    'invalid-request',
    'There is an API key in the address. Addresses end up in logs: revoke that key, and send keys as Authorization: Bearer only.',
  )
}
