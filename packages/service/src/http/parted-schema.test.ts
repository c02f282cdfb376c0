import { Sheet } from '@liftledger/calc'
import { Ajv } from 'ajv'
import ajvFormats from 'ajv-formats'
import { describe, expect, test } from 'vitest'
import { parted } from './parted-schema.ts'

/** The lengths of the functions that Ajv writes for a schema. */
function functionLengths(schema: object): number[] {
  const lengths: number[] = []
  const noted = (source: string): string => {
    lengths.push(source.length)
    return source
  }
  const ajv = new Ajv({ discriminator: true, verbose: true, inlineRefs: false, code: { process: noted } })
  ajvFormats.default(ajv)
  ajv.compile(schema)
  return lengths
}

const Reading = { type: 'object', properties: { value: { type: 'number' } }, required: ['value'] }
const Level = {
  type: 'object',
  discriminator: { propertyName: 'method' },
  oneOf: [
    { type: 'object', properties: { method: { const: 'sounder' }, depth: Reading }, required: ['method', 'depth'] },
    { type: 'object', properties: { method: { const: 'air-line' }, length: Reading }, required: ['method', 'length'] },
  ],
}
const Visit = {
  type: 'object',
  properties: { standing: { ...Level, description: 'Before the start.' }, pumping: Level, notes: { type: 'string' } },
}

describe('a schema taken apart', () => {
  test('moves each object and choice once, whatever is said of its uses', () => {
    const { definitions, properties } = parted(Visit) as { definitions: object; properties: Record<string, object> }
    expect(properties.standing).toEqual({ ...properties.pumping, description: 'Before the start.' })
    expect(properties.notes).toEqual({ type: 'string' })
    // A reading, two branches, one choice.
    expect(Object.keys(definitions)).toHaveLength(4)
  })

  test('accepts and refuses what the whole one does', () => {
    const ajv = new Ajv({ discriminator: true, allErrors: true, inlineRefs: false })
    const [whole, apart] = [ajv.compile(Visit), ajv.compile(parted(Visit))]
    const cases = [
      { standing: { method: 'sounder', depth: { value: 3 } } },
      { standing: { method: 'sounder', depth: { value: 'x' } }, notes: 3 },
      { pumping: { method: 'air-line', depth: { value: 3 } } },
      { pumping: { method: 'rope' } },
      { pumping: {} },
      { standing: 4 },
    ]
    const places = (validate: typeof whole, value: unknown) =>
      validate(value)
        ? []
        : validate.errors!.map(({ instancePath, keyword }) => `${instancePath} ${keyword}`).toSorted()
    for (const value of cases) expect(places(apart, value)).toEqual(places(whole, value))
    expect(cases.filter((value) => places(apart, value).length > 0)).toHaveLength(5)
  })

  // Past some 100 kB of source V8's compilers take memory and time that grow with the square of it.
  test('a sheet’s validator is no single function that a compiler chokes on', () => {
    expect(Math.max(...functionLengths(parted(Sheet)))).toBeLessThan(100_000)
  })
})
