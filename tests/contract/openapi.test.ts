/**
 * The committed API description, held to other people's rules (Redocly's strict ones) and to its own promise that
 * each example was recorded and fits. `packages/service/src/http/openapi.test.ts` has the rules of our own.
 */
import { spawn } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { text } from 'node:stream/consumers'
import { fileURLToPath } from 'node:url'
import { Ajv2020 } from 'ajv/dist/2020.js'
import ajvFormats from 'ajv-formats'
import { describe, expect, onTestFinished, test } from 'vitest'

type Json = Record<string, unknown>
type Operation = Json & {
  operationId: string
  responses: Record<string, Json>
  requestBody?: Json
  parameters?: Json[]
}

const file = (name: string) => fileURLToPath(new URL(`../../${name}`, import.meta.url))
const document = JSON.parse(readFileSync(file('openapi/liftledger.json'), 'utf8')) as Json
const operations = Object.values(document.paths as Record<string, Record<string, Operation>>).flatMap((methods) =>
  Object.values(methods),
)
const components = document.components as Record<string, Record<string, Json>>

const ajv = new Ajv2020({ strict: false, allErrors: true })
ajvFormats.default(ajv)
ajv.addSchema({ $id: 'api', components })

/** Why the value doesn't fit the schema; empty if it does. */
function misfit(schema: unknown, value: unknown): string {
  const whole = JSON.parse(JSON.stringify(schema).replaceAll('"#/components/', '"api#/components/')) as Json
  const validate = ajv.compile(whole)
  return validate(value) ? '' : ajv.errorsText(validate.errors)
}

/** Values of the examples of one media type, references followed. */
function examplesOf(media: Json): unknown[] {
  return Object.values((media.examples ?? {}) as Record<string, Json>).map((example) => {
    const name = /^#\/components\/examples\/(.+)$/.exec(String(example.$ref))?.[1]
    return (name === undefined ? example : components.examples?.[name])?.value
  })
}

const contentOf = (holder: Json | undefined): Record<string, Json> => (holder?.content ?? {}) as Record<string, Json>

interface LintProblem {
  readonly ruleId: string
  readonly severity: 'error' | 'warn'
  readonly message: string
  readonly location: readonly { readonly pointer?: string }[]
}

/** What Redocly's command says of a description, under our settings. It ends with 1 where it finds something. */
async function redocly(description: string): Promise<readonly LintProblem[]> {
  const command = file('node_modules/@redocly/cli/bin/cli.js')
  const flags = ['lint', description, '--config', file('redocly.yaml'), '--format', 'json', '--max-problems', '1000']
  const env = { ...process.env, REDOCLY_SUPPRESS_UPDATE_NOTICE: 'true', REDOCLY_TELEMETRY: 'off' }
  const child = spawn(process.execPath, [command, ...flags], { env, stdio: ['ignore', 'pipe', 'pipe'] })
  const [said, complained] = await Promise.all([text(child.stdout), text(child.stderr)])
  try {
    return (JSON.parse(said) as { problems: LintProblem[] }).problems
  } catch {
    throw new Error(`Redocly gave no report: ${said}${complained}`)
  }
}

test('Redocly’s strict rules find nothing', async () => {
  const problems = await redocly(file('openapi/liftledger.json'))
  expect(problems.map(({ ruleId, message, location }) => `${ruleId}: ${message} ${location[0]?.pointer}`)).toEqual([])
})

test('Redocly’s rules are on: they find what is planted', async () => {
  const spoiled = structuredClone(document) as unknown as {
    paths: Record<string, Record<string, Operation>>
    tags: Json[]
  }
  spoiled.paths['/v1/tests']!.post!.operationId = 'tests.list'
  const media = contentOf(spoiled.paths['/v1/tests/{testId}']!.get!.responses['200'])['application/json']!
  delete spoiled.tags[0]!.description
  media.examples = { recorded: { value: { id: 17 } } }
  const folder = await mkdtemp(join(tmpdir(), 'liftledger-lint-'))
  onTestFinished(() => rm(folder, { recursive: true, force: true }))
  await writeFile(join(folder, 'spoiled.json'), JSON.stringify(spoiled))
  const problems = await redocly(join(folder, 'spoiled.json'))
  const rules = problems.filter(({ severity }) => severity === 'error').map(({ ruleId }) => ruleId)
  expect(rules).toEqual(
    expect.arrayContaining(['operation-operationId-unique', 'no-invalid-media-type-examples', 'tag-description']),
  )
})

describe('the examples', () => {
  test('show every request and every success', () => {
    const missing = operations.flatMap(({ operationId, requestBody, responses }) => {
      const success = Object.entries(responses).filter(([status]) => status.startsWith('2'))
      const medias = [requestBody, ...success.map(([, response]) => response)].map((holder) => contentOf(holder))
      const silent = medias.filter(
        (content) => Object.keys(content).length > 0 && !Object.values(content).some((media) => 'examples' in media),
      )
      return silent.length > 0 ? [operationId] : []
    })
    expect(missing, 'a step is missing in openapi/example-world.ts').toEqual([])
  })

  test('fit their schemas', () => {
    const wrong = operations.flatMap(({ operationId, requestBody, responses }) =>
      [requestBody, ...Object.values(responses)].flatMap((holder) =>
        Object.values(contentOf(holder)).flatMap((media) =>
          examplesOf(media).flatMap((value) => {
            const why = misfit(media.schema, value)
            return why === '' ? [] : [`${operationId}: ${why}`]
          }),
        ),
      ),
    )
    expect(wrong).toEqual([])
  })

  test('show each problem that a caller can make by mistake', () => {
    expect(Object.keys(components.examples!)).toEqual(
      expect.arrayContaining([
        'conflict',
        'forbidden',
        'idempotency-key-reused',
        'invalid-cursor',
        'invalid-request',
        'malformed-json',
        'not-found',
        'number-out-of-range',
        'reference-not-found',
        'too-large',
        'unauthenticated',
        'unsupported-media-type',
      ]),
    )
  })

  test('stand whole in one file for each operation, where whole answers fit too', () => {
    const names = readdirSync(file('openapi/examples'))
    expect(names.toSorted()).toEqual(operations.map(({ operationId }) => `${operationId}.json`).toSorted())
    for (const { operationId, responses } of operations) {
      const { answer } = JSON.parse(readFileSync(file(`openapi/examples/${operationId}.json`), 'utf8')) as {
        answer: { status: number; headers: Record<string, string>; body: unknown }
      }
      const media = contentOf(responses[answer.status])[answer.headers['content-type']?.split(';')[0] ?? '']
      expect(media === undefined ? '' : misfit(media.schema, answer.body), operationId).toBe('')
    }
  })

  test('name the address of whatever was created', () => {
    const created = operations.filter(({ responses }) => '201' in responses).map(({ operationId }) => operationId)
    expect(created.length).toBeGreaterThan(20)
    for (const operationId of created) {
      const { answer } = JSON.parse(readFileSync(file(`openapi/examples/${operationId}.json`), 'utf8')) as {
        answer: { headers: Record<string, string> }
      }
      expect(answer.headers.location, operationId).toMatch(/^\/v1\/[a-z-]+\/\w+/)
    }
  })

  test('hold no key that opens anything', () => {
    const texts = readdirSync(file('openapi/examples')).map((name) =>
      readFileSync(file(`openapi/examples/${name}`), 'utf8'),
    )
    const keys = [...texts, JSON.stringify(document)].flatMap((text) => text.match(/llk_[a-z]+_\w+/g) ?? [])
    expect(keys.length).toBeGreaterThan(10)
    for (const key of keys) expect(key).toMatch(/^llk_demo_EXAMPKEY\d{4}_0{38}$/)
  })
})
