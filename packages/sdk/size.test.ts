import { expect, test } from 'vitest'
import { bundleSize, coreSize } from './size.ts'

test('the core bundles for browsers in less than 15 kB of gzip', async () => {
  const { minifiedBytes, gzipBytes } = await coreSize()
  expect(gzipBytes).toBeLessThan(15_000)
  expect(gzipBytes).toBeGreaterThan(1_000)
  expect(minifiedBytes).toBeGreaterThan(gzipBytes)
})

test('what isn’t used isn’t loaded', async () => {
  const { minifiedBytes } = await bundleSize("import { VERSION } from '@liftledger/sdk'\nconsole.log(VERSION)")
  expect(minifiedBytes).toBeLessThan(100)
})

test('a module of Node in the core would be noticed', async () => {
  await expect(bundleSize("import { readFile } from 'node:fs'\nconsole.log(readFile)")).rejects.toThrow(/node:fs/)
})
