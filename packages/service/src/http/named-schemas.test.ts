import { describe, expect, test } from 'vitest'
import { hoistNamed, sorted } from './named-schemas.ts'

const length = (description: string, more: object = {}) => ({
  title: 'Length',
  description,
  type: 'object',
  properties: { value: { type: 'number' }, ...more },
})
const document = (...schemas: object[]) => ({ info: { title: 'Api' }, paths: { '/a': { schemas } } })
const ref = (name: string) => ({ $ref: `#/components/schemas/${name}` })

describe('a titled schema', () => {
  test('becomes one component; uses keep what only they say', () => {
    expect(hoistNamed(document(length('Depth.'), length('Height.')))).toEqual({
      info: { title: 'Api' },
      paths: {
        '/a': {
          schemas: [
            { ...ref('Length'), description: 'Depth.' },
            { ...ref('Length'), description: 'Height.' },
          ],
        },
      },
      components: {
        schemas: { Length: { title: 'Length', type: 'object', properties: { value: { type: 'number' } } } },
      },
    })
  })

  test('with one description everywhere has it at the component', () => {
    const { paths, components } = hoistNamed(document(length('Depth.'), length('Depth.')))
    expect(paths).toEqual({ '/a': { schemas: [ref('Length'), ref('Length')] } })
    expect(components).toMatchObject({ schemas: { Length: { description: 'Depth.' } } })
  })

  test('whose uses are described differently is described by its comment', () => {
    const commented = (use: string) => ({ ...length(use), $comment: 'A length.' })
    const { components } = hoistNamed(document(commented('Depth.'), commented('Height.')))
    expect(components).toMatchObject({ schemas: { Length: { description: 'A length.' } } })
    expect(JSON.stringify(components)).not.toContain('$comment')
  })

  test('of several methods maps each method to its component', () => {
    const method = (title: string, id: string) => ({ title, type: 'object', properties: { method: { const: id } } })
    const choice = {
      title: 'Choice',
      oneOf: [method('PipeFull', 'pipe-full'), method('Weir', 'weir')],
      discriminator: { propertyName: 'method' },
    }
    expect(hoistNamed(document(choice)).components).toMatchObject({
      schemas: {
        Choice: {
          discriminator: {
            propertyName: 'method',
            mapping: { 'pipe-full': '#/components/schemas/PipeFull', weir: '#/components/schemas/Weir' },
          },
        },
      },
    })
  })

  test('within another is a component of its own, also where only descriptions differ', () => {
    const pipe = (what: string) => ({ title: 'Pipe', type: 'object', properties: { inside: length(what) } })
    const { components } = hoistNamed(document(pipe('Depth.'), pipe('Height.'), length('Width.')))
    expect(components).toMatchObject({ schemas: { Pipe: { properties: { inside: ref('Length') } }, Length: {} } })
  })

  test('that means two things is refused', () => {
    expect(() => hoistNamed(document(length('a'), length('a', { unit: {} })))).toThrow(
      'Two different schemas have the title Length',
    )
  })

  test('is no member that happens to be called title', () => {
    const schema = { type: 'object', properties: { title: { type: 'string' }, type: { type: 'string' } } }
    expect(hoistNamed(document(schema)).paths).toEqual({ '/a': { schemas: [schema] } })
  })
})

test('sorted orders members and leaves arrays alone', () => {
  expect(JSON.stringify(sorted({ b: [{ d: 1, c: 2 }, 0], a: null }))).toBe('{"a":null,"b":[{"c":2,"d":1},0]}')
})
