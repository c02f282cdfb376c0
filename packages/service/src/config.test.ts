import { describe, expect, test } from 'vitest'
import { ConfigError, DEMO_PEPPER, loadConfig } from './config.ts'

const pepper = 'p'.repeat(32)
const live = {
  NODE_ENV: 'production',
  DATABASE_URL: 'postgres://u:secret-word@db/ll',
  KEY_PEPPER: pepper,
  PUBLIC_URL: 'https://tests.example',
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
      logLevel: 'info',
      migrate: true,
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
      logLevel: 'warn',
      migrate: false,
    })
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

  test('with our name before them are reported, since none is read', () => {
    expect(problemsOf({ LIFTLEDGER_PORT: '80' })).toEqual(['LIFTLEDGER_PORT is not a setting; names have no prefix.'])
  })

  test.each([
    ['the demo pepper', { ...live, KEY_PEPPER: DEMO_PEPPER }, /demo pepper/],
    ['no pepper', { ...live, KEY_PEPPER: '' }, /KEY_PEPPER is missing/],
    ['no database', { ...live, DATABASE_URL: '' }, /DATABASE_URL is missing/],
    ['no public URL', { ...live, PUBLIC_URL: '' }, /PUBLIC_URL is missing/],
  ])('of production refuse %s', (_, environment, message) => {
    expect(problemsOf(environment)).toEqual([expect.stringMatching(message)])
  })

  test('refuse a database of one’s own without a pepper, also outside production', () => {
    expect(problemsOf({ DATABASE_URL: 'postgres://db/ll' })).toEqual([expect.stringMatching(/KEY_PEPPER is missing/)])
  })
})
