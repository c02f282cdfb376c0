import { readFile } from 'node:fs/promises'
import { expect, test } from 'vitest'
import { cloneDatabase } from '../../../../tests/setup/database.ts'
import { generateSchema } from './generate-schema.ts'

test('the table types are those of the migrated database', async () => {
  const { url, drop } = await cloneDatabase()
  try {
    expect(await generateSchema(url)).toBe(await readFile(new URL('./schema.ts', import.meta.url), 'utf8'))
  } finally {
    await drop()
  }
})
