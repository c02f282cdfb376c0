/**
 * Other people's tools on our API description: three unrelated generators digest it without a complaint, and what
 * they write compiles. Nothing of their output is kept.
 */
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { createRequire, registerHooks } from 'node:module'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { afterAll, afterEach, beforeAll, beforeEach, expect, test, vi } from 'vitest'

const root = fileURLToPath(new URL('../../', import.meta.url))
const DOCUMENT = path.join(root, 'openapi/liftledger.json')

/** The compiler generators are made for; the root has one without the interface they use. */
const fromSdk = createRequire(path.join(root, 'packages/sdk/package.json'))
const ts = fromSdk('typescript') as typeof import('../../packages/sdk/node_modules/typescript/lib/typescript.js')
const compiler = pathToFileURL(fromSdk.resolve('typescript')).href
const hooks = registerHooks({
  resolve: (specifier, context, next) =>
    specifier === 'typescript' ? { url: compiler, format: 'commonjs', shortCircuit: true } : next(specifier, context),
})

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), 'liftledger-generators-'))
})
afterAll(async () => {
  hooks.deregister()
  await rm(folder, { recursive: true, force: true })
})

/** All that was said aloud during a test, but for greetings. */
let said: string[] = []
beforeEach(() => {
  said = []
  const listen = (...words: unknown[]) => void said.push(words.map(String).join(' '))
  for (const method of ['log', 'info', 'warn', 'error'] as const) vi.spyOn(console, method).mockImplementation(listen)
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => said.push(String(text)) > 0)
})
afterEach(() => vi.restoreAllMocks())

const complaints = (): string[] =>
  said.filter((text) => /warn|error|fail|invalid|duplicate|skip|unsupported/i.test(text))

/** What the compiler says of a file and all it imports, under strict rules; the first few lines. */
function compileErrors(file: string): string[] {
  const program = ts.createProgram([file], {
    strict: true,
    noEmit: true,
    // As this repository has it, which orval looks up and follows.
    allowImportingTsExtensions: true,
    target: ts.ScriptTarget.ES2022,
    module: ts.ModuleKind.ESNext,
    moduleResolution: ts.ModuleResolutionKind.Bundler,
    lib: ['lib.es2022.d.ts', 'lib.dom.d.ts', 'lib.dom.iterable.d.ts'],
    types: [],
  })
  return ts
    .getPreEmitDiagnostics(program)
    .slice(0, 5)
    .map(
      (found) =>
        `${path.basename(found.file?.fileName ?? '')}: ${ts.flattenDiagnosticMessageText(found.messageText, '\n')}`,
    )
}

/** A user's program compiles against what was generated, and one that takes a number for a text does not. */
async function expectTypes(name: string, use: string): Promise<void> {
  const file = path.join(folder, `${name}-use.ts`)
  await writeFile(file, use)
  expect(compileErrors(file)).toEqual([])
  await writeFile(file, use.replaceAll('number | undefined', 'string | undefined'))
  expect(compileErrors(file)).not.toEqual([])
}

test('openapi-typescript', async () => {
  const { default: generate, astToString } = (await import(
    pathToFileURL(fromSdk.resolve('openapi-typescript')).href
  )) as typeof import('../../packages/sdk/node_modules/openapi-typescript/dist/index.mjs')
  const nodes = await generate(pathToFileURL(DOCUMENT))
  await writeFile(path.join(folder, 'openapi-typescript.ts'), astToString(nodes))
  expect(complaints()).toEqual([])
  const use = `import type { components } from './openapi-typescript'
    export const unit = ({ standingLevel }: components['schemas']['Sheet']): 'ft' | string | undefined =>
      standingLevel?.method === 'electric-sounder' ? standingLevel.reading.unit : undefined
    export const value = (test: components['schemas']['FieldTest']): number | undefined => test.results[0]?.value`
  await expectTypes('openapi-typescript', use)
}, 60_000)

test('@hey-api/openapi-ts', async () => {
  const { createClient } = await import('@hey-api/openapi-ts')
  await createClient({
    input: DOCUMENT,
    output: path.join(folder, 'hey-api'),
    plugins: ['@hey-api/typescript', '@hey-api/sdk', '@hey-api/client-fetch'],
    logs: { file: false },
  })
  expect(complaints()).toEqual([])
  const use = `import { testsSubmit, type Sheet } from './hey-api'
    export async function submit(sheet: Sheet): Promise<number | undefined> {
      const { data } = await testsSubmit({ body: sheet, headers: { 'idempotency-key': '"a"' } })
      return data?.results[0]?.value
    }`
  await expectTypes('hey-api', use)
}, 60_000)

test('orval', async () => {
  const { generate } = await import('orval')
  await generate({
    input: { target: DOCUMENT },
    output: {
      target: path.join(folder, 'orval/client.ts'),
      schemas: path.join(folder, 'orval/model'),
      client: 'fetch',
    },
  })
  expect(complaints()).toEqual([])
  const use = `import { testsSubmit } from './orval/client'
    import type { Sheet } from './orval/model'
    export async function submit(sheet: Sheet): Promise<number | undefined> {
      const answer = await testsSubmit(sheet)
      return answer.status === 201 ? answer.data.results[0]?.value : undefined
    }`
  await expectTypes('orval', use)
}, 60_000)
