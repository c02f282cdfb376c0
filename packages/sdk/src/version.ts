/** Version of this package, as its package.json says. */
export const VERSION = '0.1.0'
