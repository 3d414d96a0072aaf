// What is said wherever a tune comes in or goes out: rights in it are hers to look after.

export const rights = "Whether you may copy or arrange a tune is for you to find out.";
