import { execFile } from 'node:child_process'
import { chmod, mkdtemp, readdir, readFile, rm, stat } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { pathToFileURL } from 'node:url'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { startEmbedded } from './embedded.ts'
import { onConnection } from './testing.ts'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'liftledger-embedded-'))
  // As left by mktemp: nobody but its owner can enter.
  await chmod(folder, 0o700)
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const answer = (url: string, query: string): Promise<unknown> => {
  return onConnection(
    url,
    undefined,
    async (client) => (await client.query({ text: query, rowMode: 'array' })).rows[0]?.[0],
  )
}

test('keeps what was written, in a folder that only we can enter', async () => {
  const directory = path.join(folder, 'kept')
  const first = await startEmbedded({ directory, settings: { fsync: 'off' } })
  expect(await answer(first.url, 'show server_version_num')).toMatch(/^18/)
  expect(await answer(first.url, 'show server_encoding')).toBe('UTF8')
  await answer(first.url, 'create table kept as select 42 as value')
  await first.stop()
  await expect(answer(first.url, 'select 1')).rejects.toThrow(/ECONNREFUSED/)

  const second = await startEmbedded({ directory, settings: { fsync: 'off' } })
  expect(await answer(second.url, 'select value from kept')).toBe(42)
  expect(await answer(second.url, 'show fsync')).toBe('off')
  await expect(startEmbedded({ directory })).rejects.toThrow(/lock file "postmaster.pid" already exists/)
  await second.stop()
  await rm(await homeIn(directory), { recursive: true, force: true })
})

test('leaves nothing behind where it is not to persist', async () => {
  const directory = path.join(folder, 'passing')
  const server = await startEmbedded({ directory, persistent: false })
  const home = await homeIn(directory)
  await server.stop()
  for (const gone of [directory, home]) await expect(stat(gone)).rejects.toThrow(/ENOENT/)
})

test('stops with the process that started it, however that ends', async () => {
  const directory = path.join(folder, 'orphan')
  const program = `
    const { startEmbedded } = await import(${JSON.stringify(pathToFileURL(path.resolve(import.meta.dirname, 'embedded.ts')).href)})
    const { url } = await startEmbedded({ directory: ${JSON.stringify(directory)}, persistent: false })
    console.log(url)
    process.kill(process.pid, 'SIGKILL')`
  const url = await new Promise<string>((resolve) => {
    execFile(process.execPath, ['--input-type=module', '--eval', program], (_killed, stdout) => resolve(stdout.trim()))
  })
  expect(url).toMatch(/^postgres:/)
  for (let tries = 0; tries < 100 && (await readdir(folder)).includes('orphan'); tries++) await sleep(50)
  expect(await readdir(folder)).not.toContain('orphan')
  await expect(answer(url, 'select 1')).rejects.toThrow(/ECONNREFUSED/)
})

/** Where the cluster really is: elsewhere, when its unprivileged user can't enter the folder. */
async function homeIn(directory: string): Promise<string> {
  return readFile(path.join(directory, 'location'), 'utf8').catch(() => directory)
}
