"""Will it go?"""
