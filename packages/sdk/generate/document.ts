/** Reading an API description whose shape nobody has promised: every look is checked. */

export type Json = { readonly [key: string]: unknown }

export const isRecord = (value: unknown): value is Json =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

/** The object at a path of members; empty if there is none. */
export function recordAt(value: unknown, ...path: readonly string[]): Json {
  let here = value
  for (const key of path) here = isRecord(here) ? here[key] : undefined
  return isRecord(here) ? here : {}
}

export const textOf = (value: unknown): string => (typeof value === 'string' ? value.trim() : '')

export const isIdentifier = (name: string): boolean => /^[A-Za-z_$][A-Za-z0-9_$]*$/.test(name)

/** Names of shared schemas that can be TypeScript names, sorted. */
export const schemaNames = (document: Json): string[] =>
  Object.keys(recordAt(document, 'components', 'schemas'))
    .filter((name) => /^[A-Z]/.test(name) && isIdentifier(name))
    .sort()

/** What a `$ref` into this document points at; the value itself if it is no reference. */
export function resolve(document: Json, value: unknown): Json {
  let here = recordAt(value)
  for (let hops = 0; hops < 20; hops += 1) {
    const reference = here.$ref
    if (typeof reference !== 'string' || !reference.startsWith('#/')) return here
    const path = reference.slice(2).split('/')
    here = recordAt(document, ...path.map((part) => part.replaceAll('~1', '/').replaceAll('~0', '~')))
  }
  throw new Error(`References go in a circle at ${String(here.$ref)}.`)
}

/** `Sheet` for a reference to `#/components/schemas/Sheet`. */
export function schemaName(schema: unknown): string | undefined {
  const reference = recordAt(schema).$ref
  const name = typeof reference === 'string' ? /^#\/components\/schemas\/([^/]+)$/.exec(reference)?.[1] : undefined
  return name !== undefined && /^[A-Z]/.test(name) && isIdentifier(name) ? name : undefined
}
