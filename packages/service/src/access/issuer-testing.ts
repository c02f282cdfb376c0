/** Test help: an issuer of tokens on loopback, whose documents and keys can be exchanged. */
import { once } from 'node:events'
import { createServer, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { exportJWK, type GenerateKeyPairResult, generateKeyPair, type JWTPayload, SignJWT } from 'jose'

export const AUDIENCE = 'liftledger-tests'

/** Claims of a token; undefined leaves one out. */
export type Claims = { readonly [Name in keyof JWTPayload]?: JWTPayload[Name] | undefined }

export interface SigningKey extends GenerateKeyPairResult {
  readonly kid: string
  readonly alg: string
}

export interface TestIssuer {
  readonly url: string
  /** Paths asked for so far. */
  readonly asked: string[]
  /** Answers a path otherwise than with its document; undefined puts the document back. */
  answer(path: string, otherwise: ((response: ServerResponse) => void) | undefined): void
  /** Makes a key and publishes it. */
  publish(alg: string, kid: string): Promise<SigningKey>
  /** Takes a key away again. */
  withdraw(kid: string): void
  close(): Promise<void>
}

const DISCOVERY = '/.well-known/openid-configuration'

export async function startIssuer(): Promise<TestIssuer> {
  const keys: Record<string, unknown>[] = []
  const asked: string[] = []
  const otherwise = new Map<string, (response: ServerResponse) => void>()
  const server = createServer((request, response) => {
    const path = request.url ?? ''
    asked.push(path)
    const own = otherwise.get(path)
    if (own !== undefined) return own(response)
    const documents: Record<string, object> = {
      [DISCOVERY]: { issuer: url, jwks_uri: `${url}/keys` },
      '/keys': { keys },
    }
    const document = documents[path]
    response.writeHead(document === undefined ? 404 : 200, { 'content-type': 'application/json' })
    response.end(JSON.stringify(document ?? {}))
  })
  server.listen(0, '127.0.0.1')
  await once(server, 'listening')
  const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`
  return {
    url,
    asked,
    answer(path, own) {
      if (own === undefined) otherwise.delete(path)
      else otherwise.set(path, own)
    },
    async publish(alg, kid) {
      const key = await signingKey(alg, kid)
      keys.push({ ...(await exportJWK(key.publicKey)), kid, alg, use: 'sig' })
      return key
    },
    withdraw(kid) {
      keys.splice(
        keys.findIndex((key) => key.kid === kid),
        1,
      )
    },
    async close() {
      server.closeAllConnections()
      server.close()
      await once(server, 'close')
    },
  }
}

/** A key that nobody published. */
export async function signingKey(alg: string, kid: string): Promise<SigningKey> {
  return { ...(await generateKeyPair(alg, { extractable: true })), kid, alg }
}

/** A good token of the subject at `now`, but for what is changed. */
export async function tokenOf(
  key: SigningKey,
  { issuer, subject, now }: { readonly issuer: string; readonly subject: string; readonly now: Date },
  { claims = {}, header = {} }: { readonly claims?: Claims; readonly header?: Record<string, unknown> } = {},
): Promise<string> {
  const atS = Math.floor(now.getTime() / 1000)
  const payload = { iss: issuer, sub: subject, aud: AUDIENCE, iat: atS, exp: atS + 600, ...claims }
  const given = Object.fromEntries(Object.entries(payload).filter(([, value]) => value !== undefined))
  return new SignJWT(given).setProtectedHeader({ alg: key.alg, kid: key.kid, ...header }).sign(key.privateKey)
}
