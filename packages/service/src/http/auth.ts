/**
 * Who may call what. Each route declares it in its `config.access`; a route that doesn't fails at start.
 *
 * How a key becomes a principal is given in by `app.ts`: this file knows the header, the roles and the scopes.
 */
import type { FastifyInstance, FastifyRequest, onRouteHookHandler } from 'fastify'
import { type Principal, ROLE_SCOPES, type Role, type Scope } from './principal.ts'
import { Problem } from './problem.ts'

/** Open to everyone, or to the roles named, with a key that has the scope. */
export type Access = 'public' | { readonly roles: readonly Role[]; readonly scope: Scope }

declare module 'fastify' {
  interface FastifyContextConfig {
    access: Access
  }
  interface FastifyRequest {
    /** Who is calling. Not there on public routes. */
    principal: Principal
  }
}

/** The principal a key stands for; undefined for a key that is unknown, wrong, expired or revoked. */
export type Authenticate = (key: string) => Promise<Principal | undefined>

export function registerAuth(app: FastifyInstance, authenticate: Authenticate): void {
  app.decorateRequest('principal')
  app.addHook('onRoute', requireAccess)
  app.addHook('onRequest', async (request) => {
    if (request.url.includes('llk_')) throw keyInAddress()
    if (request.is404) return
    const { access } = request.routeOptions.config
    if (access === 'public') return
    const key = bearer(request)
    const principal = key === undefined ? undefined : await authenticate(key)
    if (principal === undefined) throw unauthenticated()
    admit(principal, access)
    request.principal = principal
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

function bearer(request: FastifyRequest): string | undefined {
  return /^Bearer ([!-~]{1,200})$/i.exec(request.headers.authorization ?? '')?.[1]
}

function admit(principal: Principal, access: Exclude<Access, 'public'>): void {
  if (!access.roles.includes(principal.role)) {
    throw new Problem(
      'forbidden',
      `This needs the scope ${access.scope} of a key with role ${access.roles.join(' or ')}; this key has role ${principal.role}.`,
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
