import { expect, test } from 'vitest'
import manifest from '../package.json' with { type: 'json' }
import { inPage, userAgent } from './runtime.ts'
import { VERSION } from './version.ts'

test.each([
  [{ process: { versions: { node: '24.1.0' } } }, 'node/24.1.0'],
  [{ process: { versions: { node: '24.1.0' } }, Deno: { version: { deno: '2.5.0' } } }, 'deno/2.5.0'],
  [{ process: { versions: { node: '24.1.0' } }, Bun: { version: '1.3.0' } }, 'bun/1.3.0'],
  [{ navigator: { userAgent: 'Some-Workers' } }, 'Some-Workers'],
  [{}, 'unknown'],
])('%j says %s', (globals, runtime) => {
  expect(userAgent(globals)).toBe(`liftledger-sdk/${VERSION} (${runtime})`)
})

test('a page leaves the user agent to the browser', () => {
  const page = { document: {}, window: {}, navigator: { userAgent: 'A browser' } }
  expect([inPage(page), userAgent(page)]).toEqual([true, undefined])
})

test('the version is the package’s', () => {
  expect(VERSION).toBe(manifest.version)
})
