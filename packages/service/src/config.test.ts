import { describe, expect, test } from 'vitest'
import { ConfigError, DEMO_PEPPER, loadConfig } from './config.ts'

const pepper = 'p'.repeat(32)
const limits = {
  processes: 1,
  ratePerMinute: 600,
  failuresPerMinute: 60,
  publicPerMinute: 600,
  admission: { inFlightMax: 512, eventLoopDelayMsMax: 200, queueAgeMsMax: 250 },
}
const live = {
  NODE_ENV: 'production',
  DATABASE_URL: 'postgres://u:secret-word@db/ll',
  KEY_PEPPER: pepper,
  PUBLIC_URL: 'https://tests.example',
  LEDGER_SIGNING_KEY: 'key-of-the-log',
}

function problemsOf(environment: Record<string, string>): readonly string[] {
  try {
    loadConfig(environment)
  } catch (error) {
    if (error instanceof ConfigError) return error.problems
    throw error
  }
  return []
}

describe('settings', () => {
  test('of an empty environment are those of the demo', () => {
    expect(loadConfig({})).toEqual({
      production: false,
      host: '127.0.0.1',
      port: 8080,
      publicUrl: 'http://127.0.0.1:8080',
      keyPepper: DEMO_PEPPER,
      keyEnvironment: 'demo',
      ledger: { originToBeginWith: 'localhost/liftledger', signingKey: { made: '.data/ledger-signing-key.pem' } },
      logLevel: 'info',
      migrate: true,
      keepDocuments: true,
      compareWithRecord: true,
      ...limits,
    })
  })

  test('of production', () => {
    expect(loadConfig({ ...live, PORT: '80', MIGRATE: 'off', LOG_LEVEL: 'warn', HOME: '/root', HOST: '' })).toEqual({
      production: true,
      databaseUrl: live.DATABASE_URL,
      host: '127.0.0.1',
      port: 80,
      publicUrl: 'https://tests.example',
      keyPepper: pepper,
      keyEnvironment: 'live',
      ledger: { originToBeginWith: 'tests.example', signingKey: { text: 'key-of-the-log' } },
      logLevel: 'warn',
      migrate: false,
      keepDocuments: true,
      compareWithRecord: true,
      metrics: { host: '127.0.0.1', port: 9090 },
      ...limits,
    })
  })

  test('of limits, metrics, proxies and tokens', () => {
    const given = {
      WEB_CONCURRENCY: '4',
      RATE_PER_MINUTE: '0',
      FAILURES_PER_MINUTE: '5',
      IN_FLIGHT_MAX: '64',
      EVENT_LOOP_DELAY_MS_MAX: '50',
      QUEUE_AGE_MS_MAX: '0',
      METRICS_PORT: '9464',
      METRICS_HOST: '10.0.0.7',
      TRUST_PROXY: '10.0.0.0/8, fd00::1',
      OIDC_ISSUER: 'https://accounts.example/ostrel',
      OIDC_AUDIENCE: 'liftledger',
    }
    expect(loadConfig(given)).toMatchObject({
      processes: 4,
      ratePerMinute: 0,
      failuresPerMinute: 5,
      publicPerMinute: 600,
      admission: { inFlightMax: 64, eventLoopDelayMsMax: 50, queueAgeMsMax: 0 },
      metrics: { host: '10.0.0.7', port: 9464 },
      trustProxy: ['10.0.0.0/8', 'fd00::1'],
      oidc: { issuer: 'https://accounts.example/ostrel', audience: 'liftledger' },
    })
    expect(loadConfig({ ...live, METRICS_PORT: '0' })).not.toHaveProperty('metrics')
  })

  test.each([
    ['an issuer without an audience', { OIDC_ISSUER: 'https://accounts.example' }, /OIDC_AUDIENCE is missing/],
    ['an audience without an issuer', { OIDC_AUDIENCE: 'liftledger' }, /OIDC_ISSUER is missing/],
    [
      'keys of tokens over an open line in production',
      { ...live, OIDC_ISSUER: 'http://accounts.example', OIDC_AUDIENCE: 'liftledger' },
      /OIDC_ISSUER must begin with https/,
    ],
    [
      'a proxy that is no address',
      { TRUST_PROXY: '10.0.0.0/8, 10.0.0' },
      /TRUST_PROXY has '10.0.0'; allowed are addresses/,
    ],
    ['a network larger than all', { TRUST_PROXY: '10.0.0.0/33' }, /TRUST_PROXY has '10.0.0.0\/33'/],
    ['a proxy by its name', { TRUST_PROXY: 'proxy.example' }, /TRUST_PROXY has 'proxy.example'/],
    [
      'half a process',
      { WEB_CONCURRENCY: '0.5' },
      /WEB_CONCURRENCY can't be '0.5'; allowed is the number of processes/,
    ],
    ['a limit below none', { RATE_PER_MINUTE: '-1' }, /RATE_PER_MINUTE can't be '-1'; .* or 0 for no limit/],
  ])('refuse %s', (_, environment, message) => {
    expect(problemsOf(environment)).toEqual([expect.stringMatching(message)])
  })

  test('that are wrong are all told at once, with what is allowed', () => {
    expect(problemsOf({ PORT: 'eighty', LOG_LEVEL: 'loud', MIGRATE: 'yes', PUBLIC_URL: 'https://x.example/' })).toEqual(
      [
        "PORT can't be 'eighty'; allowed is a port from 0 to 65535; 0 takes a free one.",
        "PUBLIC_URL can't be 'https://x.example/'; allowed is a URL without a slash at its end.",
        "LOG_LEVEL can't be 'loud'; allowed is one of fatal, error, warn, info, debug, trace, silent.",
        "MIGRATE can't be 'yes'; allowed is `on`, or `off` to run `npm run migrate` by hand.",
      ],
    )
  })

  test('that are secret are never repeated', () => {
    const told = problemsOf({ DATABASE_URL: 'mysql://u:secret-word@db', KEY_PEPPER: 'too-short' }).join()
    expect(told).toMatch(/DATABASE_URL.*KEY_PEPPER/)
    expect(told).not.toMatch(/secret-word|too-short/)
  })

  test('of the ledger name the log after the address of the service, keys by text or file', () => {
    const { LEDGER_SIGNING_KEY: _, ...rest } = live
    const files = { LEDGER_SIGNING_KEY_FILE: '/new', LEDGER_PREVIOUS_KEY_FILE: '/old' }
    const { ledger } = loadConfig({ ...rest, ...files, PUBLIC_URL: 'https://tests.example/pumps' })
    expect(ledger).toEqual({
      originToBeginWith: 'tests.example/pumps',
      signingKey: { file: '/new' },
      previousKey: { file: '/old' },
    })
    expect(loadConfig({ ...live, LEDGER_ORIGIN: 'ledger.example/pumps' }).ledger.origin).toBe('ledger.example/pumps')
  })

  test.each([
    'http://localhost:8080',
    'http://pumps.localhost',
    'http://127.1.2.3:8080',
    'http://127.1',
    'http://[::1]:8080',
    'http://0.0.0.0:8080',
  ])('of production name no log after this machine alone: %s', (PUBLIC_URL) => {
    expect(loadConfig({ ...live, PUBLIC_URL }).ledger).toEqual({ signingKey: { text: 'key-of-the-log' } })
    expect(loadConfig({ PUBLIC_URL }).ledger.originToBeginWith).toBe(new URL(PUBLIC_URL).host)
  })

  test('of a command that makes keys of the API need no key of the ledger and no address', () => {
    const { LEDGER_SIGNING_KEY: _, PUBLIC_URL: __, ...some } = live
    expect(loadConfig(some, 'access-keys')).toMatchObject({ keyPepper: pepper, keyEnvironment: 'live' })
    expect(() => loadConfig({ ...some, KEY_PEPPER: '' }, 'access-keys')).toThrow(/1 problem.*\n- KEY_PEPPER is missing/)
  })

  test('with our name before them are reported, since none is read', () => {
    expect(problemsOf({ LIFTLEDGER_PORT: '80' })).toEqual(['LIFTLEDGER_PORT is not a setting; names have no prefix.'])
  })

  test.each([
    ['the demo pepper', { ...live, KEY_PEPPER: DEMO_PEPPER }, /demo pepper/],
    ['no pepper', { ...live, KEY_PEPPER: '' }, /KEY_PEPPER is missing/],
    ['no database', { ...live, DATABASE_URL: '' }, /DATABASE_URL is missing/],
    ['no public URL', { ...live, PUBLIC_URL: '' }, /PUBLIC_URL is missing/],
    ['no key for the ledger', { ...live, LEDGER_SIGNING_KEY: '' }, /LEDGER_SIGNING_KEY is missing/],
    [
      'no key for the ledger, saying how one is made',
      { ...live, LEDGER_SIGNING_KEY: '' },
      /openssl genpkey -algorithm ed25519/,
    ],
    [
      'a lost key by half its id',
      { ...live, LEDGER_KEY_LOST: '12ab' },
      /LEDGER_KEY_LOST can't be '12ab'; .*8 hexadecimal/,
    ],
    ['two keys for the ledger', { ...live, LEDGER_SIGNING_KEY_FILE: '/key' }, /are both given/],
    ['a name of the log with a space', { ...live, LEDGER_ORIGIN: 'a log' }, /LEDGER_ORIGIN can't be 'a log'/],
  ])('of production refuse %s', (_, environment, message) => {
    expect(problemsOf(environment)).toEqual([expect.stringMatching(message)])
  })

  test('refuse a database of one’s own without a pepper, also outside production', () => {
    expect(problemsOf({ DATABASE_URL: 'postgres://db/ll' })).toEqual([expect.stringMatching(/KEY_PEPPER is missing/)])
  })
})
