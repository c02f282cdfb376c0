/** Gives titled schemas their name: each becomes one component, referred to wherever it is used. */
import { isDeepStrictEqual } from 'node:util'

type Json = Record<string, unknown>

const NAME = /^[A-Z][A-Za-z0-9]*$/
const REFERENCE = '#/components/schemas/'

const isObject = (value: unknown): value is Json => typeof value === 'object' && value !== null && !Array.isArray(value)

/** A schema with a name of its own. `properties` may hold a member called title, which is a schema, not a text. */
const isNamed = (node: Json): node is Json & { title: string } =>
  typeof node.title === 'string' && NAME.test(node.title) && (node.type === 'object' || 'oneOf' in node)

/**
 * The document with its titled schemas moved to `components.schemas`. A use keeps its own description beside the
 * reference where uses differ in nothing else. Throws where two different schemas share a title.
 */
export function hoistNamed(document: Json): Json {
  const uses = new Map<string, Json[]>()
  const replace = (node: unknown): unknown => {
    if (Array.isArray(node)) return node.map(replace)
    if (!isObject(node)) return node
    const copy = Object.fromEntries(Object.entries(node).map(([key, value]) => [key, replace(value)]))
    if (!isNamed(copy)) return copy
    const { title } = copy
    uses.set(title, [...(uses.get(title) ?? []), copy])
    return { $ref: `${REFERENCE}${title}`, description: copy.description }
  }
  const paths = replace(document.paths) as Json
  const schemas = new Map([...uses].map(([title, same]) => [title, component(title, same)]))
  return {
    ...document,
    paths: settle(paths, schemas),
    components: {
      ...(document.components as Json),
      schemas: Object.fromEntries(
        [...schemas].map(([title, schema]) => [title, mapped(settle(schema, schemas) as Json, schemas)]),
      ),
    },
  }
}

/** The one schema behind all uses of a title, with the description they agree on, else what its comment says of all. */
function component(title: string, uses: readonly Json[]): Json {
  const [first, ...others] = uses.map(({ description: _, ...rest }) => rest)
  for (const other of others) {
    if (!isDeepStrictEqual(withoutDescriptions(first), withoutDescriptions(other))) {
      throw new Error(`Two different schemas have the title ${title}; give one of them another.`)
    }
  }
  const descriptions = new Set(uses.map(({ description }) => description))
  const { $comment, ...rest } = first!
  const about = descriptions.size === 1 ? [...descriptions][0] : $comment
  return about === undefined ? rest : { ...rest, description: about }
}

/** References carry descriptions of their use; they don't make two schemas different. */
function withoutDescriptions(node: unknown): unknown {
  if (Array.isArray(node)) return node.map(withoutDescriptions)
  if (!isObject(node)) return node
  return Object.fromEntries(
    Object.entries(node)
      .filter(([key]) => !(key === 'description' && '$ref' in node))
      .map(([key, value]) => [key, withoutDescriptions(value)]),
  )
}

/**
 * A choice says which value of its discriminator means which schema: where it doesn't, OpenAPI takes the schemas'
 * names for the values. Branches that are no components, or have no constant, can't be mapped.
 */
function mapped(schema: Json, schemas: ReadonlyMap<string, Json>): Json {
  const { propertyName } = (schema.discriminator ?? {}) as { propertyName?: string }
  if (propertyName === undefined || !Array.isArray(schema.oneOf)) return schema
  const pairs = (schema.oneOf as Json[]).flatMap(({ $ref }) => {
    const branch = schemas.get(String($ref).slice(REFERENCE.length))
    const tag = ((branch?.properties ?? {}) as Record<string, Json>)[propertyName]
    const values = Array.isArray(tag?.enum) ? tag.enum : [tag?.const]
    return values.map((value) => [value, $ref])
  })
  if (pairs.some(([value]) => typeof value !== 'string')) return schema
  return { ...schema, discriminator: { propertyName, mapping: Object.fromEntries(pairs) as Json } }
}

/** Drops the description beside a reference where the component says the same, or nothing is said. */
function settle(node: unknown, schemas: ReadonlyMap<string, Json>): unknown {
  if (Array.isArray(node)) return node.map((item) => settle(item, schemas))
  if (!isObject(node)) return node
  if (typeof node.$ref === 'string' && node.$ref.startsWith(REFERENCE)) {
    const { $ref, description } = node
    const said = schemas.get($ref.slice(REFERENCE.length))?.description
    return description === undefined || description === '' || description === said ? { $ref } : { $ref, description }
  }
  return Object.fromEntries(Object.entries(node).map(([key, value]) => [key, settle(value, schemas)]))
}

/** The same value with the members of every object in order of their names. */
export function sorted(node: unknown): unknown {
  if (Array.isArray(node)) return node.map(sorted)
  if (!isObject(node)) return node
  const names = Object.keys(node).toSorted()
  return Object.fromEntries(names.map((name) => [name, sorted(node[name])]))
}
