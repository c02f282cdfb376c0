/** The API description as a whole: what a reader may rely on in every operation and every field. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { buildApp } from '../app.ts'
import { CATALOGUE, PROBLEM_CODES } from './problem.ts'

type Json = Record<string, unknown>

let service: TestService
let document: Json
beforeAll(async () => {
  service = await startTestService()
  document = await service.app.apiDocument()
})
afterAll(() => service.close())

const operations = (): (Json & { operationId: string; responses: Record<string, Json> })[] =>
  Object.values(document.paths as Record<string, Json>).flatMap((path) => Object.values(path)) as never

/** Every schema in the document with the place where it stands. */
function schemas(node: unknown, place: string): [string, Json][] {
  if (typeof node !== 'object' || node === null) return []
  const inner = Object.entries(node).flatMap(([name, value]) => schemas(value, `${place}/${name}`))
  const isSchema = 'type' in node && typeof node.type === 'string' && !place.endsWith('/securitySchemes/apiKey')
  return isSchema ? [[place, node as Json], ...inner] : inner
}

const misfits = (fits: (schema: Json, place: string) => boolean): string[] =>
  schemas(document, '')
    .filter(([place, schema]) => !fits(schema, place))
    .map(([place]) => place)

describe('every operation', () => {
  test('has a short summary, a description, a tag that is explained, and its own id', () => {
    const explained = (document.tags as Json[]).filter((tag) => tag.description !== undefined).map((tag) => tag.name)
    for (const { operationId, summary, description, tags } of operations()) {
      expect(String(summary).length, `summary of ${operationId}`).toBeLessThanOrEqual(60)
      expect(String(description).length, `description of ${operationId}`).toBeGreaterThan(10)
      expect(tags, `tags of ${operationId}`).toHaveLength(1)
      expect(explained, `TAGS in http/openapi.ts`).toContain((tags as string[])[0])
    }
    const ids = operations().map(({ operationId }) => operationId)
    expect(new Set(ids).size).toBe(ids.length)
  })

  test('says how it succeeds, and each problem it can answer under its status', () => {
    for (const { operationId, responses } of operations()) {
      expect(
        Object.keys(responses).some((status) => status.startsWith('2')),
        operationId,
      ).toBe(true)
      expect(responses, operationId).toHaveProperty('500')
      for (const [status, response] of Object.entries(responses)) {
        for (const code of (response['x-codes'] as (keyof typeof CATALOGUE)[] | undefined) ?? []) {
          expect(CATALOGUE[code].status, `${operationId} ${code}`).toBe(Number(status))
        }
      }
    }
  })

  const OPEN =
    /^(health\..*|ledger\.(checkpoint|consistency|inclusion|keys|tile)|method[A-Z]\w+\.(list|get)|programs\.(listRuleSets|getRuleSet)|statistics\.(listPublications|readPublication))$/

  test('asks for a key unless it is about health, hashes of the ledger, the method, published rules or public statistics, and says which roles and scope', () => {
    for (const operation of operations()) {
      if (OPEN.test(operation.operationId)) expect(operation.security).toEqual([])
      else
        expect(operation).toMatchObject({
          security: [{ apiKey: [] }],
          'x-scope': expect.stringMatching(/^[a-z-]+:(read|write)$/),
        })
    }
  })
})

describe('every field', () => {
  test('that is a text has a limit or a closed list', () => {
    expect(misfits((s) => s.type !== 'string' || 'maxLength' in s || 'enum' in s || 'const' in s)).toEqual([])
  })

  test('that is a list has a limit', () => {
    expect(misfits((s) => s.type !== 'array' || 'maxItems' in s)).toEqual([])
  })

  test('that is a whole number has a least and a greatest value', () => {
    expect(misfits((s) => s.type !== 'integer' || ('minimum' in s && 'maximum' in s))).toEqual([])
  })

  test('that is a number stands beside its unit, or says what it counts in', () => {
    const said =
      /units of its own|\bratio\b|\bpercent\b|\bshare\b|^Seconds|\bin (m|m³\/s|m²\/s|W|J|J\/m³|s)\b|degrees of freedom/i
    const all = schemas(document, '')
    const places = new Set(all.map(([place]) => place))
    const bare = all.filter(([place, { type, description }]) => {
      const parent = place.replace(/\/properties\/[^/]+(\/items)?$/, '')
      const beside = places.has(`${parent}/properties/unit`)
      return type === 'number' && !beside && !said.test(String(description))
    })
    expect(bare.map(([place]) => place)).toEqual([])
  })

  test('is described', () => {
    const components = (document.components as { schemas: Record<string, Json> }).schemas
    for (const [name, { properties }] of Object.entries(components)) {
      for (const [member, schema] of Object.entries((properties ?? {}) as Record<string, Json>)) {
        const said = schema.description ?? components[String(schema.$ref).split('/').at(-1)!]?.description
        expect(said, `${name}.${member}`).toBeTruthy()
      }
    }
  })

  test('belongs to a named object if there are more than three of them, and nothing undeclared may stand beside it', () => {
    const open = misfits((s, place) => {
      if (s.type !== 'object' || 'oneOf' in s) return true
      // By ids or codes that have a form, so many at most.
      if (typeof s.additionalProperties === 'object' && 'maxProperties' in s) return true
      const named = /^\/components\/schemas\/[^/]+$/.test(place)
      return s.additionalProperties === false && (named || Object.keys(s.properties as Json).length <= 3)
    })
    expect(open).toEqual([])
  })
})

test('the problem codes are a closed list in the document', () => {
  const { schemas: components } = document.components as {
    schemas: Record<string, { properties: Record<string, Json> }>
  }
  expect(components.Problem!.properties.code!.enum).toEqual(PROBLEM_CODES)
})

test('the same routes give the same bytes', async () => {
  const again = await buildApp(service.deps)
  expect(JSON.stringify(await again.apiDocument())).toBe(JSON.stringify(document))
  await again.close()
})
