/** The demo as one types it: it ends well, and what it promises is what it shows. */
import { execFile } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { expect, test } from 'vitest'

test('the demo plays every act and ends with 0', async () => {
  const demo = fileURLToPath(new URL('../../seed/demo.ts', import.meta.url))
  // Ends with another code: then this throws, with what the demo said.
  const { stdout } = await promisify(execFile)(process.execPath, [demo, '--once'], { timeout: 100_000 })
  for (const shown of [
    'Overall plant efficiency',
    'the same to the last bit',
    'points, ',
    'MWh a year',
    'raw-changed',
    'key of the program',
    'simulated: 1,',
  ]) {
    expect(stdout).toContain(shown)
  }
  expect(stdout).not.toContain('they differ')
}, 120_000)
