/**
 * A document filled member by member. What is left to fill in is what an editor offers; `build` is offered as soon as
 * nothing that is required is left.
 */

type RequiredKeys<T> = { [K in keyof T]-?: Record<never, never> extends Pick<T, K> ? never : K }[keyof T]

/** `build`, where nothing that is required is left. */
export type BuiltWithout<T, Left extends keyof T> = [RequiredKeys<Pick<T, Left>>] extends [never] ? Built<T> : unknown

/** `Left` are the members that weren't filled in yet. */
export type Draft<T, Left extends keyof T> = {
  [K in keyof Pick<T, Left>]-?: (value: NonNullable<T[K]>) => Draft<T, Exclude<Left, K>>
} & BuiltWithout<T, Left>

export interface Built<T> {
  /** The document, apart from the draft: what is filled in later doesn't reach it. */
  build(): T
}

type Values = Readonly<Record<string, unknown>>
/** Makes, from what was filled in and what the method was called with, what is filled in then. */
export type Step = (values: Values, argument: never) => Values

/** Names that the language or a runtime asks of any object. */
const NOT_MEMBERS = new Set(['then', 'toJSON', 'constructor', 'inspect'])

/**
 * A draft in which every name fills the member of that name, but for `build` and the steps given. A draft is never
 * changed: each call answers a new one, so that one beginning can lead to several sheets.
 */
export function draftOf(values: Values, steps: Readonly<Record<string, Step>> = {}): unknown {
  return new Proxy(Object.freeze({}), {
    get(_target, name) {
      if (typeof name === 'symbol' || NOT_MEMBERS.has(name)) return undefined
      if (name === 'build') return () => structuredClone(values)
      const step = steps[name] ?? ((before: Values, value: unknown) => ({ ...before, [name]: value }))
      return (argument: never) => draftOf(step(values, argument), steps)
    },
  })
}
