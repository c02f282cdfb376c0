/**
 * `npm run generate`: everything that follows from something else, written anew. `-- --check` writes nothing and
 * fails with the first line that is stale.
 *
 * Routes → openapi/liftledger.json → the generated part of the SDK; a play on a scratch service → openapi/examples,
 * also inside the description; migrations → packages/service/src/db/schema.ts; what an audit covers →
 * docs/record-coverage.md; the declarations of the calculation → docs/method.
 */
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { fileURLToPath } from 'node:url'
import { generateSdk } from '../packages/sdk/generate.ts'
import { coverageText } from '../packages/service/src/audit/coverage.ts'
import { startEmbedded } from '../packages/service/src/db/embedded.ts'
import { generateSchema } from '../packages/service/src/db/generate-schema.ts'
import { migrate } from '../packages/service/src/db/migrate.ts'
import { sorted } from '../packages/service/src/http/named-schemas.ts'
import { makeLog } from '../packages/service/src/log.ts'
import { withExamples } from './examples.ts'
import { methodPages } from './method-pages.ts'
import { recordExamples } from './record-examples.ts'

const EXAMPLES = 'openapi/examples'
const root = fileURLToPath(new URL('../', import.meta.url))

/** Text of each generated file, by its path from the root. */
export async function generated(): Promise<Record<string, string>> {
  const directory = await mkdtemp(path.join(tmpdir(), 'liftledger-generate-'))
  const scratch = await startEmbedded({ directory, persistent: false, settings: { fsync: 'off' } })
  try {
    const log = makeLog('silent')
    await migrate(scratch.url, log)
    const { document, files } = await recordExamples(scratch.url)
    return {
      'packages/service/src/db/schema.ts': await generateSchema(scratch.url),
      'docs/record-coverage.md': coverageText(),
      ...methodPages(),
      'openapi/liftledger.json': json(sorted(withExamples(document, files))),
      ...Object.fromEntries([...files].map(([id, file]) => [`${EXAMPLES}/${id}.json`, json(file)])),
      ...(await generateSdk(document)),
    }
  } finally {
    await scratch.stop()
  }
}

const json = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`

/** The first difference between what is there and what should be, told by line; undefined if there is none. */
export function firstDifference(file: string, found: string | undefined, expected: string): string | undefined {
  if (found === expected) return undefined
  if (found === undefined) return `${file} is missing.`
  const [there, wanted] = [found.split('\n'), expected.split('\n')]
  const line = wanted.findIndex((text, n) => text !== there[n])
  const at = line === -1 ? wanted.length : line
  return [
    `${file}:${at + 1} is stale.`,
    `  found:    ${there[at] ?? '(nothing)'}`,
    `  expected: ${wanted[at] ?? '(nothing)'}`,
  ].join('\n')
}

const readIfThere = (file: string): Promise<string | undefined> =>
  readFile(path.join(root, file), 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return undefined
    throw error
  })

/** Examples of operations that are gone. */
async function orphans(files: Record<string, string>): Promise<string[]> {
  const names = await readdir(path.join(root, EXAMPLES))
  return names.map((name) => `${EXAMPLES}/${name}`).filter((file) => !(file in files))
}

async function main(check: boolean): Promise<number> {
  let stale = 0
  const files = await generated()
  for (const file of await orphans(files)) {
    stale += 1
    if (check) console.error(`${file} belongs to no operation.`)
    else await rm(path.join(root, file))
  }
  for (const [file, expected] of Object.entries(files)) {
    const difference = firstDifference(file, await readIfThere(file), expected)
    if (difference === undefined) continue
    stale += 1
    if (check) console.error(difference)
    else {
      await writeFile(path.join(root, file), expected)
      console.log(`wrote ${file}`)
    }
  }
  if (check && stale > 0) console.error('Mend it: npm run generate')
  return check && stale > 0 ? 1 : 0
}

if (import.meta.main) process.exit(await main(process.argv.includes('--check')))
