/** Whom the history names for what is done over HTTP: until people sign in, one name for all of them. */
export const WHO = 'the pages'
