/**
 * Tokens of an OpenID Connect issuer: who is calling, as the issuer vouches for it.
 *
 * A token is believed for its issuer, audience, time and signature alone. What it says about roles or rights is
 * never read: what its subject may do here stands in a row that an administrator made. Where its header points to
 * keys of its own (`jku`, `jwk`, `x5u`), nobody follows.
 */
import { createRemoteJWKSet, customFetch, errors, type JWTVerifyGetKey, jwtVerify } from 'jose'
import { Problem } from '../http/problem.ts'

export interface TokenSubject {
  readonly issuer: string
  readonly subject: string
}

/** The subject of a good token; undefined for any other. Throws `issuer-unavailable` where that can't be decided. */
export type TokenReader = (token: string) => Promise<TokenSubject | undefined>

export interface TokenTrust {
  readonly issuer: string
  readonly audience: string
  now(): Date
}

/** Signatures made with a key that the service doesn't have. With a shared secret it could sign for anyone itself. */
const ALGORITHMS = ['RS256', 'ES256', 'EdDSA']
const CLOCK_TOLERANCE_S = 60
/** A working day: an older token is refused, however long its issuer made it. */
const AGE_S_MAX = 12 * 60 * 60
const FETCH_MS_MAX = 5_000
/** How long an issuer that failed is left alone. */
const RETRY_S = 5
const DOCUMENT_BYTES_MAX = 256 * 1024
const SUBJECT_LENGTH_MAX = 255

export function tokenReader({ issuer, audience, now }: TokenTrust): TokenReader {
  const keys = keysOf(issuer, now)
  return async (token) => {
    try {
      const { payload } = await jwtVerify(token, keys, {
        issuer,
        audience,
        algorithms: ALGORITHMS,
        clockTolerance: CLOCK_TOLERANCE_S,
        maxTokenAge: AGE_S_MAX,
        requiredClaims: ['exp', 'sub'],
        currentDate: now(),
      })
      const { sub: subject } = payload
      if (typeof subject !== 'string' || subject === '' || subject.length > SUBJECT_LENGTH_MAX) return undefined
      return { issuer, subject }
    } catch (error) {
      if (isBad(error)) return undefined
      throw new Problem('issuer-unavailable', 'The issuer of tokens does not answer with its keys at the moment.', {
        retryAfterS: RETRY_S,
        cause: error,
      })
    }
  }
}

/** Faults of the token. All others are faults of the way to the issuer's keys. */
function isBad(error: unknown): boolean {
  return (
    error instanceof errors.JWTClaimValidationFailed ||
    error instanceof errors.JWTExpired ||
    error instanceof errors.JWTInvalid ||
    error instanceof errors.JWSInvalid ||
    error instanceof errors.JWSSignatureVerificationFailed ||
    error instanceof errors.JOSEAlgNotAllowed ||
    error instanceof errors.JOSENotSupported ||
    error instanceof errors.JWKSNoMatchingKey ||
    error instanceof errors.JWKSMultipleMatchingKeys
  )
}

/** Asks the issuer where its keys are when the first token comes; after a failure again, but not with every token. */
function keysOf(issuer: string, now: () => Date): JWTVerifyGetKey {
  let asked: { readonly atMs: number; readonly keys: Promise<JWTVerifyGetKey>; failed: boolean } | undefined
  return async (header, token) => {
    const atMs = now().getTime()
    if (asked === undefined || (asked.failed && Math.abs(atMs - asked.atMs) >= RETRY_S * 1000)) {
      const one = { atMs, keys: discover(issuer), failed: false }
      one.keys.catch(() => {
        one.failed = true
      })
      asked = one
    }
    return (await asked.keys)(header, token)
  }
}

/** OpenID Connect Discovery 1.0, section 4: the document names its issuer and the address of its keys. */
async function discover(issuer: string): Promise<JWTVerifyGetKey> {
  const address = `${issuer.replace(/\/$/, '')}/.well-known/openid-configuration`
  const answer = await limitedFetch(address, { signal: AbortSignal.timeout(FETCH_MS_MAX) })
  const { issuer: named, jwks_uri: keys } = (await answer.json()) as { issuer?: unknown; jwks_uri?: unknown }
  if (named !== issuer) throw new Error(`${address} speaks for ${String(named)}`)
  const url = new URL(String(keys))
  // Keys that anyone on the way could exchange prove nothing.
  if (url.protocol !== new URL(issuer).protocol) throw new Error(`${address} names keys at ${url.href}`)
  return createRemoteJWKSet(url, { timeoutDuration: FETCH_MS_MAX, [customFetch]: limitedFetch })
}

/** Follows no redirect and reads no more than a key set can have. Throws for any answer but 200. */
async function limitedFetch(url: string, options: RequestInit): Promise<Response> {
  const response = await fetch(url, { ...options, redirect: 'error' })
  if (response.status !== 200) {
    await response.body?.cancel()
    throw new Error(`${url} answered ${response.status}`)
  }
  const chunks: Uint8Array[] = []
  let length = 0
  for await (const chunk of response.body ?? []) {
    length += chunk.length
    if (length > DOCUMENT_BYTES_MAX) throw new Error(`${url} answered more than ${DOCUMENT_BYTES_MAX} bytes`)
    chunks.push(chunk)
  }
  return new Response(Buffer.concat(chunks), { status: 200, headers: { 'content-type': 'application/json' } })
}
